package rules

import "fmt"

func (c *checker) carrier() {
	k := c.shop.Carrier
	c.number("carrier.web", k.Web, mayBeZero)
	c.number("carrier.least-web", k.LeastWeb, mayBeZero)
	c.number("carrier.frame", k.Frame, mayBeZero)
	c.span("carrier.joints", k.Joints, aboveZero)
	c.number("carrier.joint-spacing", k.JointSpacing, aboveZero)
	c.number("carrier.joint-share", k.JointShare, aboveZero)
	c.span("carrier.joint-width", k.JointWidth, aboveZero)
	c.number("carrier.most", k.Most, aboveZero)
	if k.Most > 10000 {
		c.failf("carrier.most", "%g parts are no carrier", k.Most)
	}
}

func (c *checker) other(key string, o *Alternative) {
	if len(o.For) == 0 {
		c.failf(key+".for", "says not what it is for: oxide or holding")
	}
	for i, f := range o.For {
		c.word(fmt.Sprintf("%s.for[%d]", key, i), f, ForOxide, ForHold)
	}
	for _, f := range o.Families {
		if _, ok := c.shop.Families[f]; !ok {
			c.failf(key+".families", "no family named %q%s", f, didYouMean(f, sortedKeys(c.shop.Families)))
		}
	}
	c.number(key+".largest", o.Largest, mayBeZero)
	c.number(key+".burr", o.Burr, mayBeZero)
	c.span(key+".per-piece", o.PerPiece, mayBeZero)
	c.span(key+".per-kg", o.PerKg, mayBeZero)
	c.span(key+".per-m2", o.PerM2, mayBeZero)
}
