package rules

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

//go:embed shop.toml
var shopFile []byte

// ShopFile returns the commented default shop file, to start a shop's own from.
func ShopFile() []byte { return bytes.Clone(shopFile) }

// DefaultShop returns the built-in shop.
func DefaultShop() Shop {
	var s Shop
	if err := decodeShop("built-in shop file", shopFile, &s); err != nil {
		panic("implementation error: " + err.Error())
	}
	return s
}

// LoadShop reads a shop file over the built-in shop: keys that the file gives
// replace the built-in ones, field by field; heads of a line and burr rows of a
// process are replaced as a whole list; layer patterns stand before the
// built-in ones. Name is for messages. Errors carry "name:line:".
func LoadShop(name string, data []byte) (Shop, error) {
	s := DefaultShop()
	builtin := s.LayerRows
	s.LayerRows = nil
	if err := decodeShop(name, data, &s); err != nil {
		return Shop{}, err
	}
	s.LayerRows = append(s.LayerRows, builtin...)
	s.Layers = patterns(s.LayerRows)
	return s, nil
}

// decodeShop decodes data over s and checks the result.
func decodeShop(name string, data []byte, s *Shop) error {
	index, err := indexFile(name, data)
	if err != nil {
		return err
	}
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(s); err != nil {
		var missing *toml.StrictMissingError
		if errors.As(err, &missing) && len(missing.Errors) > 0 {
			return unknownKeys(name, missing)
		}
		return decodeError(name, err)
	}
	c := checker{name: name, index: index, shop: s}
	c.check()
	if len(c.errs) > 0 {
		return errors.Join(c.errs...)
	}
	s.Layers = patterns(s.LayerRows)
	s.known, s.words = s.indexMaterials(), s.indexPhrases()
	s.choices, s.choicesSaid = nil, ""
	s.choices, s.choicesSaid = s.EdgeChoices(), s.choicesText()
	return nil
}

func decodeError(name string, err error) error {
	var de *toml.DecodeError
	if errors.As(err, &de) {
		row, _ := de.Position()
		text := strings.TrimPrefix(de.Error(), "toml: ")
		if i := strings.Index(text, " into struct field"); i > 0 { // names Go types: of no use to the reader
			text = fmt.Sprintf("%s for %s", text[:i], strings.Join(de.Key(), "."))
			text = strings.Replace(text, "cannot decode TOML", "unexpected", 1)
		}
		return fmt.Errorf("%s:%d: %s", name, row, text)
	}
	return fmt.Errorf("%s: %w", name, err)
}

// unknownKeys names each unknown key with the nearest one known at its place.
func unknownKeys(name string, missing *toml.StrictMissingError) error {
	var errs []error
	for _, e := range missing.Errors {
		row, _ := e.Position()
		key := e.Key()
		known, at := keysAt(key)
		errs = append(errs, fmt.Errorf("%s:%d: unknown key %q%s", name, row, strings.Join(key[:at+1], "."), didYouMean(key[at], known)))
	}
	return errors.Join(errs...)
}

// keysAt walks the shop's types along a key until a part is unknown, and
// returns the keys known there and the unknown part's position.
func keysAt(key []string) (known []string, at int) {
	t := reflect.TypeFor[Shop]()
	for i, part := range key {
		for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		switch t.Kind() {
		case reflect.Map:
			t = t.Elem()
			continue
		case reflect.Struct:
			known = nil
			var next reflect.Type
			for f := range t.NumField() {
				tag := t.Field(f).Tag.Get("toml")
				if tag == "-" || tag == "" {
					continue
				}
				known = append(known, tag)
				if tag == part {
					next = t.Field(f).Type
				}
			}
			if next == nil {
				return known, i
			}
			t = next
		default:
			return nil, i
		}
	}
	return known, len(key) - 1
}

// place is what the file says at a key: its line and, for an array, how many
// elements it has.
type place struct {
	line  int
	count int // -1: not an array
}

// indexFile finds the line of every key of a TOML file. Elements of arrays of
// tables are numbered: "line.x.head[0].kind".
func indexFile(name string, data []byte) (map[string]place, error) {
	index := map[string]place{}
	seen := map[string]int{}
	prefix := ""
	lines := newlines(data)
	var p unstable.Parser
	p.Reset(data)
	for p.NextExpression() {
		e := p.Expression()
		if e.Kind != unstable.Table && e.Kind != unstable.ArrayTable && e.Kind != unstable.KeyValue {
			continue
		}
		var parts []string
		line := 0
		for it := e.Key(); it.Next(); {
			n := it.Node()
			parts = append(parts, string(n.Data))
			line = lines.of(int(n.Raw.Offset))
		}
		path := strings.Join(parts, ".")
		switch e.Kind {
		case unstable.Table:
			prefix = path
			index[path] = place{line, -1}
		case unstable.ArrayTable:
			prefix = fmt.Sprintf("%s[%d]", path, seen[path])
			seen[path]++
			index[prefix] = place{line, -1}
		case unstable.KeyValue:
			if prefix != "" {
				path = prefix + "." + path
			}
			index[path] = place{line, arrayCount(e.Value())}
		}
	}
	if err := p.Error(); err != nil {
		var s map[string]any // the decoder's message has the position
		if err2 := toml.Unmarshal(data, &s); err2 != nil {
			return nil, decodeError(name, err2)
		}
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return index, nil
}

// lineStarts are the offsets of a file's newlines, ascending.
type lineStarts []int

func newlines(data []byte) lineStarts {
	var at lineStarts
	for i, b := range data {
		if b == '\n' {
			at = append(at, i)
		}
	}
	return at
}

// of returns the line, from 1, on which an offset lies.
func (l lineStarts) of(offset int) int {
	n, _ := slices.BinarySearch(l, offset)
	return n + 1
}

func arrayCount(n *unstable.Node) int {
	if n.Kind != unstable.Array {
		return -1
	}
	count := 0
	for it := n.Children(); it.Next(); {
		count++
	}
	return count
}

// checker finds values that no shop can mean.
type checker struct {
	name  string
	index map[string]place
	shop  *Shop
	errs  []error
}

// failf records an error at a key, or at the nearest key above it.
func (c *checker) failf(key, format string, args ...any) {
	line := 0
	for k := key; k != "" && line == 0; {
		line = c.index[k].line
		i := strings.LastIndexAny(k, ".[")
		if i < 0 {
			break
		}
		k = k[:i]
	}
	where := c.name
	if line > 0 {
		where = fmt.Sprintf("%s:%d", c.name, line)
	}
	c.errs = append(c.errs, fmt.Errorf("%s: %s: %s", where, key, fmt.Sprintf(format, args...)))
}

// The low bounds of a number.
const (
	mayBeZero = iota
	aboveZero
)

func (c *checker) number(key string, v float64, bound int) {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		c.failf(key, "is not a number")
	case v < 0:
		c.failf(key, "%g is negative", v)
	case v == 0 && bound == aboveZero:
		c.failf(key, "must be given and above 0")
	}
}

func (c *checker) share(key string, v float64) {
	c.number(key, v, mayBeZero)
	if v > 1 {
		c.failf(key, "%g is above 1; it is a share", v)
	}
}

func (c *checker) span(key string, s Span, bound int) {
	if p, ok := c.index[key]; ok && p.count >= 0 && p.count != 2 {
		c.failf(key, "needs two numbers, [low, high], not %d", p.count)
		return
	}
	c.number(key, s[0], mayBeZero)
	c.number(key, s[1], bound)
	if s[0] > s[1] {
		c.failf(key, "low %g is above high %g", s[0], s[1])
	}
}

func (c *checker) word(key, v string, known ...string) {
	if !slices.Contains(known, v) {
		c.failf(key, "%q is not known; one of %s", v, strings.Join(known, ", "))
	}
}

func (c *checker) check() {
	s := c.shop
	if _, err := s.Line(""); err != nil {
		c.failf("default-line", "%v", err)
	}
	for _, name := range s.LineNames() {
		c.line("line."+name, s.Lines[name])
	}
	for _, name := range sortedKeys(s.Families) {
		key, f := "family."+name, s.Families[name]
		c.span(key+".belt-speed", f.BeltSpeed, aboveZero)
		c.number(key+".modulus", f.Modulus, aboveZero)
		if _, ok := s.Stocks[f.Stock]; !ok {
			c.failf(key+".stock", "no stock named %q%s", f.Stock, didYouMean(f.Stock, sortedKeys(s.Stocks)))
		}
	}
	for _, name := range sortedKeys(s.Stocks) {
		c.stock("stock."+name, s.Stocks[name])
	}
	for _, name := range sortedKeys(s.Coatings) {
		key, v := "coating."+name, s.Coatings[name]
		c.word(key+".kind", v.Kind, ZincCoat, PaintCoat)
		c.number(key+".mass", v.Mass, mayBeZero)
	}
	for _, name := range s.ProcessNames() {
		c.process("process."+name, s.Processes[name])
	}
	for _, name := range sortedKeys(s.Edges) {
		c.edge("edge."+name, s.Edges[name])
	}
	for i, p := range s.LayerRows {
		key := fmt.Sprintf("layer[%d]", i)
		c.word(key+".meaning", p.Meaning, Meanings()...)
		if len(p.Names) == 0 && len(p.LineTypes) == 0 {
			c.failf(key, "needs names or line-types")
		}
	}
	c.rates()
	c.carrier()
	for _, name := range sortedKeys(s.Alternatives) {
		c.other("alternative."+name, s.Alternatives[name])
	}
	for _, name := range sortedKeys(s.Limits) {
		key := "limit." + name
		if !knownLimit(name) {
			c.failf(key, "no rule or limit has this name%s", didYouMean(name, limitNames()))
		}
		c.number(key, s.Limits[name], mayBeZero)
	}
	c.sampled()
}

func (c *checker) line(key string, l *LineSpec) {
	if len(l.Hold) == 0 {
		c.failf(key+".hold", "must name at least one of rollers, vacuum, magnet")
	}
	for _, h := range l.Hold {
		c.word(key+".hold", h, HoldRollers, HoldVacuum, HoldMagnet)
		switch h {
		case HoldRollers:
			c.number(key+".roller-pitch", l.RollerPitch, aboveZero)
			c.number(key+".roller-force", l.RollerForce, aboveZero)
		case HoldVacuum:
			c.number(key+".vacuum", l.Vacuum, aboveZero)
			if l.Vacuum > 101.325 {
				c.failf(key+".vacuum", "%g kPa is more than the air presses (101.3)", l.Vacuum)
			}
			c.number(key+".open-area", l.OpenArea, aboveZero)
		case HoldMagnet:
			c.number(key+".magnet-pull", l.MagnetPull, aboveZero)
			c.number(key+".magnet-full", l.MagnetFull, aboveZero)
		}
	}
	c.number(key+".roller-gap", l.RollerGap, mayBeZero)
	c.share(key+".open-area", l.OpenArea)
	c.number(key+".width", l.Width, aboveZero)
	c.span(key+".length", l.Length, aboveZero)
	c.number(key+".least-width", l.LeastWidth, mayBeZero)
	if l.LeastWidth > l.Width {
		c.failf(key+".least-width", "%g is above the width %g", l.LeastWidth, l.Width)
	}
	c.span(key+".thickness", l.Thickness, aboveZero)
	c.number(key+".friction-dry", l.FrictionDry, aboveZero)
	c.number(key+".friction-wet", l.FrictionWet, aboveZero)
	c.span(key+".conveyor-speed", l.ConveyorSpeed, aboveZero)
	if l.ConveyorSpeed[0] == 0 {
		c.failf(key+".conveyor-speed", "low must be above 0")
	}
	c.number(key+".spacing", l.Spacing, mayBeZero)
	if len(l.Heads) == 0 {
		c.failf(key+".head", "a line needs at least one head")
	}
	for i, h := range l.Heads {
		c.head(fmt.Sprintf("%s.head[%d]", key, i), h)
	}
}

func (c *checker) head(key string, h Head) {
	c.word(key+".kind", h.Kind, BeltHead, DrumBrush, DiscBrush, Oscillating)
	c.span(key+".speed", h.Speed, aboveZero)
	c.number(key+".force", h.Force, aboveZero)
	c.number(key+".force-ratio", h.ForceRatio, aboveZero)
	for _, v := range []struct {
		key string
		v   float64
	}{{"hardness", h.Hardness}, {"filament", h.Filament}, {"bundle", h.Bundle}, {"stroke", h.Stroke}, {"rate", h.Rate}, {"life", h.Life}, {"price", h.Price}, {"one-speed", h.OneSpeed}} {
		c.number(key+"."+v.key, v.v, mayBeZero)
	}
	for _, g := range h.Grades {
		if _, ok := GrainSize(g); !ok {
			c.failf(key+".grades", "%q is not a P grade", g)
		}
	}
	switch {
	case h.Kind == BeltHead && len(h.Grades) == 0:
		c.failf(key+".grades", "a belt head needs the grades at hand")
	case h.Brush() && h.Filament == 0 && h.Bundle == 0:
		c.failf(key+".filament", "a brush needs its filament or bundle diameter")
	}
}

func (c *checker) stock(key string, s *Stock) {
	if _, ok := c.shop.Families[s.Family]; !ok {
		c.failf(key+".family", "no family named %q%s", s.Family, didYouMean(s.Family, sortedKeys(c.shop.Families)))
	}
	if _, ok := c.shop.Coatings[s.Coating]; s.Coating != "" && !ok {
		c.failf(key+".coating", "no coating named %q%s", s.Coating, didYouMean(s.Coating, sortedKeys(c.shop.Coatings)))
	}
	c.number(key+".density", s.Density, aboveZero)
	c.span(key+".rm", s.Rm, aboveZero)
	c.number(key+".yield", s.Yield, mayBeZero)
}

func (c *checker) process(key string, p *Process) {
	c.span(key+".scope", p.Scope, aboveZero)
	c.span(key+".least-hole", p.LeastHole, mayBeZero)
	c.span(key+".least-web", p.LeastWeb, mayBeZero)
	for _, f := range sortedKeys(p.HoleBy) {
		c.span(key+".hole-by."+f, p.HoleBy[f], mayBeZero)
		if _, ok := c.shop.Families[f]; !ok {
			c.failf(key+".hole-by."+f, "no family named %q%s", f, didYouMean(f, sortedKeys(c.shop.Families)))
		}
	}
	for _, f := range sortedKeys(p.Clearance) {
		c.span(key+".clearance."+f, p.Clearance[f], aboveZero)
		if _, ok := c.shop.Families[f]; !ok {
			c.failf(key+".clearance."+f, "no family named %q%s", f, didYouMean(f, sortedKeys(c.shop.Families)))
		}
	}
	c.word(key+".tool-state", p.ToolState, "sharp", "normal", "worn")
	for i, b := range p.Burrs {
		k := fmt.Sprintf("%s.burr[%d]", key, i)
		c.span(k+".height", b.Height, mayBeZero)
		c.span(k+".share", b.Share, mayBeZero)
		c.number(k+".from", b.From, mayBeZero)
		c.number(k+".to", b.To, mayBeZero)
		for _, f := range b.Families {
			if _, ok := c.shop.Families[f]; !ok {
				c.failf(k+".families", "no family named %q%s", f, didYouMean(f, sortedKeys(c.shop.Families)))
			}
		}
	}
}

func (c *checker) edge(key string, e *EdgePreset) {
	if e.Notation != "" {
		if _, err := parseISO13715(e.Notation); err != nil {
			c.failf(key+".notation", "%v", err)
		}
	}
	c.span(key+".radius", e.Radius, mayBeZero)
	if e.Grade != "" {
		c.word(key+".grade", e.Grade, "P1", "P2", "P3")
	}
	c.word(key+".sides", e.Sides, BurrSide, BothSides)
	if e.Grain != "" {
		if _, ok := GrainSize(e.Grain); !ok {
			c.failf(key+".grain", "%q is not a P grade", e.Grain)
		}
	}
	if e.Notation == "" && e.Radius[1] == 0 && e.Grade == "" && e.Grain == "" {
		c.failf(key, "says nothing: give a notation, a radius, a grade or a grain")
	}
}

func (c *checker) rates() {
	r := c.shop.Rates
	for _, v := range []struct {
		key string
		s   Span
	}{{"hand-hole", r.HandHole}, {"hand-slot", r.HandSlot}, {"hand-corner", r.HandCorner}, {"hand-nib", r.HandNib},
		{"pick-place", r.PickPlace}, {"turn-over", r.TurnOver}, {"large-piece", r.LargePiece}, {"line-hour", r.LineHour},
		{"bench-hour", r.BenchHour}, {"abrasive-hour", r.Abrasive}, {"carrier-seconds", r.Carrier}} {
		c.span("rate."+v.key, v.s, mayBeZero)
	}
	for i, h := range r.HandMetre {
		key := fmt.Sprintf("rate.hand-metre[%d]", i)
		c.number(key+".to", h.To, mayBeZero)
		c.span(key+".seconds", h.Seconds, aboveZero)
	}
	if len(r.HandMetre) == 0 {
		c.failf("rate.hand-metre", "needs at least one row")
	}
	c.number("rate.large-mass", r.LargeMass, aboveZero)
	c.number("rate.loader", r.Loader, mayBeZero)
	c.number("rate.hidden-factor", r.HiddenFactor, mayBeZero)
	c.number("rate.wear-exponent", r.WearExponent, mayBeZero)
}
