package rules

import (
	"fmt"
	"slices"
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
		return &Burr{Process: name, Side: p.Side, Kind: row.Kind, Low: low, High: high,
			Note: note, Source: row.Source, Provenance: row.Provenance}
	}
	return nil
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
