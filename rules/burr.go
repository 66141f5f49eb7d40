package rules

import (
	"fmt"
	"slices"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// forecast says what the cutting process leaves on the part, nil when process,
// material or thickness is unknown or no row of the shop file fits.
func (b *judging) forecast() *Burr {
	if b.Process == nil || !b.ThicknessKnown || !b.MaterialKnown {
		return nil
	}
	return ForecastBurr(b.ProcessName, b.Process, b.Material, b.Thickness.MM)
}

// ForecastBurr finds the first row of a process that fits material and
// thickness (mm). A sharp tool keeps to the lower half of the range, a worn one
// runs from its middle to twice its high end; both are reasoning.
func ForecastBurr(name string, p *Process, m Material, thickness float64) *Burr {
	for _, row := range p.Burrs {
		if len(row.Families) > 0 && !slices.Contains(row.Families, m.Family) ||
			thickness < row.From || row.To > 0 && thickness > row.To {
			continue
		}
		low := row.Height[0] + row.Share[0]*thickness
		high := row.Height[1] + row.Share[1]*thickness
		note := row.Note
		if name == "punch" {
			note = join(note, fmt.Sprintf("at %.3g mm: 10 %% is %.3g mm, the ceiling of the same articles %.3g mm, a perforator's table %.3g mm",
				thickness, 0.1*thickness, PunchBurrCeiling(thickness), PerforatorBurr(thickness)))
		}
		switch p.ToolState {
		case "sharp":
			high = (low + high) / 2
			note = join(note, "tool state sharp: lower half of the range (reasoning)")
		case "worn":
			low, high = (low+high)/2, 2*high
			note = join(note, "tool state worn: middle to twice the high end (reasoning)")
		}
		b := &Burr{Process: name, Side: p.Side, Kind: row.Kind, Low: low, High: high,
			Note: note, Source: row.Source, Provenance: row.Provenance}
		p.fittedBurr(b, m, thickness)
		return b
	}
	return nil
}

// burrPlaces lists where the burr is likely in the upper half of the forecast:
// openings below twice the strict school's least size, sharp corners of a
// thermal cut, and nibs. That these are the bad places is the trade's
// experience; the half is reasoning.
func (b *judging) burrPlaces() []BurrPlace {
	if b.burr == nil {
		return nil
	}
	places := make([]BurrPlace, 0, 8)
	put := func(contour, id string, at r2.Point, length float64, why string) {
		places = append(places, BurrPlace{Feature: id, At: at, Low: (b.burr.Low + b.burr.High) / 2, High: b.burr.High, Why: why,
			contour: contour, length: length})
	}
	least := b.Process.LeastHole
	if s, ok := b.Process.HoleBy[b.Material.Family]; ok {
		least = s
	}
	small := 2 * least[1] * b.Thickness.MM
	thickness := digits(b.Thickness.MM, 3)
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		size := c.Inscribed
		if c.Kind == measure.Slot {
			size = passage(c)
		}
		if w, ok := size.Get(); ok && w < small {
			put(c.ID, c.ID, c.At, c.Perimeter.V, "opening of "+digits(w, 3)+" mm in "+thickness+" mm of thickness: heat and dross, or a weak punch")
		}
	}
	for i := range b.p.Notches {
		n := &b.p.Notches[i]
		if w, ok := n.Width.Get(); ok && w < small { // both of its walls
			put("O", n.ID, n.At, 2*n.Depth.V, "notch of "+digits(w, 3)+" mm in "+thickness+" mm of thickness")
		}
	}
	for i := range b.p.Corners {
		k := &b.p.Corners[i]
		if k.Angle > 0 && k.Angle < 75 && b.ProcessName != "waterjet" {
			put(k.Contour, k.ID, k.At, 0, "sharp corner of "+fixed(k.Angle, 0)+" degrees: the cut dwells, or the punch corner wears")
		}
	}
	for i := range b.p.Joints {
		j := &b.p.Joints[i]
		put(j.Contour, j.ID, j.At, j.Gap.V, "joint: a nib besides the burr")
	}
	return places
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// asCutEnough reports whether the forecast burr is within the requirement before
// any finishing.
func (b *judging) asCutEnough() bool {
	return b.burr != nil && b.EdgeKnown && !b.Painted && b.Edge.TakesOff() == 0 &&
		b.Edge.BurrAllowed() > 0 && b.burr.High <= b.Edge.BurrAllowed()
}
