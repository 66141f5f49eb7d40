package analyze

import (
	"math"
	"strings"
	"unicode"

	"burrcast/analyze/measure"
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// mostBendWork bounds the pairs of a bend and a curve that are measured for one
// part; what lies beyond stays unmeasured.
const mostBendWork = 4_000_000

// measureBends measures how far the bends of every part lie from its edges, and
// reads which way they go.
func (a *analysis) measureBends() {
	layers := make(map[geom.Curve]string)
	for _, b := range a.bends {
		layers[b.Curve] = b.layer
	}
	for i := range a.res.Parts {
		p := &a.res.Parts[i]
		left := mostBendWork
		for k := range p.Bends {
			curves := 0
			for _, loop := range p.merged {
				curves += len(loop)
			}
			if left -= curves; left < 0 {
				a.say("unmeasured-bends", 0, "part %s has too many bends to measure them all", p.Measure.ID)
				break
			}
			b := &p.Measure.Bends[k]
			b.Flange = flange(p.Bends[k], p.merged[0], p.err)
			b.Cutout, b.Gap = nearestCutout(p.Bends[k], p)
			a.direct(b, p.Bends[k], layers[p.Bends[k]])
		}
	}
}

// A flange's edge runs parallel to the bend within a degree, and along at least
// a third of it: what is less is the side of a notch or a tab.
const (
	parallelSine = 0.0175
	flangeShare  = 1.0 / 3
)

// flange returns the distance from a straight bend to the nearest outline edge
// parallel to it.
func flange(bend geom.Curve, outline []geom.Curve, err float64) measure.Value {
	var out measure.Value
	length := bend.Length()
	if bend.IsArc() || length == 0 {
		return out
	}
	u := bend.Tangent(0)
	best := math.Inf(1)
	for _, c := range outline {
		if c.IsArc() || math.Abs(geom.Cross(u, c.Tangent(0))) > parallelSine {
			continue
		}
		s, e := c.Start.Sub(bend.Start), c.End.Sub(bend.Start)
		lo := math.Max(0, math.Min(u.Dot(s), u.Dot(e)))
		hi := math.Min(length, math.Max(u.Dot(s), u.Dot(e)))
		if hi-lo < flangeShare*length {
			continue
		}
		// The edge's nearer end of the stretch beside the bend.
		for _, t := range [2]float64{lo, hi} {
			foot := bend.Start.Add(u.Mul(t))
			q := across(c, u, foot)
			d := q.Sub(foot).Norm()
			if d > 1e-3 && d < best {
				best = d
				out = measure.Of(d, err).Seen(measure.Witness{A: foot, B: q, Points: true})
			}
		}
	}
	return out
}

// across returns the point of line c straight across from foot, square to u.
func across(c geom.Curve, u, foot r2.Point) r2.Point {
	v := c.End.Sub(c.Start)
	t := u.Dot(foot.Sub(c.Start)) / u.Dot(v)
	return c.At(math.Min(1, math.Max(0, t)))
}

// nearestCutout returns the cut-out whose edge lies nearest to a bend, and how
// far: 0 for one that the bend runs into.
func nearestCutout(bend geom.Curve, p *Part) (id string, gap measure.Value) {
	best := math.Inf(1)
	box := bend.Bounds()
	for k := 1; k < len(p.merged); k++ {
		for _, c := range p.merged[k] {
			if apart(box, c.Bounds()) >= best {
				continue
			}
			if d, x, y := geom.Between(bend, c); d < best {
				best, id = d, p.ids[k]
				gap = measure.Of(d, p.err).Seen(measure.Witness{A: x, B: y, Points: true})
			}
		}
	}
	return id, gap
}

// apart is the distance of two boxes.
func apart(a, b r2.Rect) float64 {
	return math.Hypot(math.Max(0, math.Max(a.X.Lo-b.X.Hi, b.X.Lo-a.X.Hi)), math.Max(0, math.Max(a.Y.Lo-b.Y.Hi, b.Y.Lo-a.Y.Hi)))
}

// direct reads from the bend's layer and from the notes beside it whether it
// goes up or down. Where they contradict each other it stays open.
func (a *analysis) direct(b *measure.Bend, c geom.Curve, layer string) {
	b.Up = layerDirection(layer)
	if b.Up != "" {
		b.UpFrom = "layer " + layer
	}
	for _, n := range a.dxf.Notes {
		way := noteDirection(n.Text)
		if way == "" || n.Paper {
			continue
		}
		if _, q := c.Closest(n.At); q.Sub(n.At).Norm() > math.Max(noteReach, 5*n.Height) || !a.nearestBend(c, n.At) {
			continue
		}
		if b.Up != "" && b.Up != way {
			a.say("bend-direction", n.Line, "%s says that the bend at %s goes %s, the note %q says %s: ask which",
				b.UpFrom, at(c.At(0.5)), b.Up, n.Text, way)
			b.Up, b.UpFrom = "", ""
			return
		}
		b.Up, b.UpFrom = way, "note "+n.Text
	}
}

// noteReach is how far a note may stand from the bend that it is about, mm.
const noteReach = 10

// nearestBend reports whether no other bend lies nearer to p than c.
func (a *analysis) nearestBend(c geom.Curve, p r2.Point) bool {
	_, q := c.Closest(p)
	d := q.Sub(p).Norm()
	for _, m := range a.marks {
		for _, o := range m.bends {
			if _, q := o.Closest(p); q.Sub(p).Norm() < d-1e-9 {
				return false
			}
		}
	}
	return true
}

// Words for up and down in English, German, French, Spanish and Italian, whole
// words in capitals.
func wayOf(words []string) string {
	up, down := false, false
	for _, w := range words {
		switch w {
		case "UP", "OBEN", "AUF", "HOCH", "HAUT", "ARRIBA", "SU", "ALTO":
			up = true
		case "DOWN", "DN", "UNTEN", "AB", "RUNTER", "BAS", "ABAJO", "GIU", "GIÙ", "BASSO":
			down = true
		}
	}
	switch {
	case up && !down:
		return "up"
	case down && !up:
		return "down"
	}
	return ""
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToUpper(text), func(r rune) bool { return !unicode.IsLetter(r) })
}

// layerDirection reads a bend's direction from its layer: BEND_UP, BIEGEN-OBEN,
// BENDUP.
func layerDirection(layer string) string {
	words := wordsOf(layer)
	if way := wayOf(words); way != "" {
		return way
	}
	for _, w := range words {
		switch {
		case strings.HasSuffix(w, "BENDUP") || strings.HasSuffix(w, "FOLDUP"):
			return "up"
		case strings.HasSuffix(w, "BENDDOWN") || strings.HasSuffix(w, "FOLDDOWN"):
			return "down"
		}
	}
	return ""
}

// noteDirection reads a bend's direction from a note that speaks of a bend: it
// has an angle or a word for bending.
func noteDirection(text string) string {
	words := wordsOf(text)
	about := strings.ContainsRune(text, '°')
	for _, w := range words {
		for _, stem := range [...]string{"BEND", "FOLD", "BIEG", "KANT", "PLI", "PIEG", "DOBL", "PLEG"} {
			about = about || strings.HasPrefix(w, stem)
		}
	}
	if !about {
		return ""
	}
	return wayOf(words)
}
