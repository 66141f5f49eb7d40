package cli

import (
	"encoding/json"
	"math"
	"testing"

	"burrcast/cmd/internal/report"
)

// What is known of a nest, of joints, bends and forms reaches the JSON; the
// drawings say in their own text what is right.
func TestNestBendsAndFormsAreInTheJSON(t *testing.T) {
	get := func(name string) report.Drawing {
		_, out, _ := burrcast(t, "--format", "json", own(t, name))
		var r report.Report
		if err := json.Unmarshal([]byte(out), &r); err != nil || len(r.Drawings) != 1 {
			t.Fatalf("%s: %d drawings, %v", name, len(r.Drawings), err)
		}
		return r.Drawings[0]
	}
	is := func(what string, got *report.Num, want float64) {
		t.Helper()
		if got == nil || math.Abs(float64(*got)-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}

	// Two parts of 120 x 60 with 40 between them, on a sheet of 300 x 200.
	if n := get("sheet-on-its-layer").Nest; n == nil || len(n.Nearest) == 0 {
		t.Error("no nest")
	} else {
		is("share", n.Used, 2*120*60/(300.*200))
		is("distance", n.Nearest[0].Distance, 40)
		if d := math.Abs(float64(n.Nearest[0].From[1] - n.Nearest[0].To[1])); math.Abs(d-40) > 1e-9 {
			t.Errorf("the points that show the distance are %v apart", d)
		}
	}
	if n := get("parts-overlap").Nest; n == nil || len(n.Overlaps) == 0 {
		t.Error("parts that overlap are not in the nest")
	}
	if d := get("hole-crosses-outline"); d.Nest != nil {
		t.Error("one part has a nest")
	}
	if p := get("joints").Parts[0]; p.HeldBy != 2 || len(p.Joints) != 2 || p.Joints[0].Contour != "O" {
		t.Errorf("held by %d joints, joints %+v", p.HeldBy, p.Joints)
	}
	if p := get("bridges-of-three-slots").Parts[0]; len(p.Joints) != 3 || !p.Joints[0].Bridge {
		t.Errorf("bridges %+v", p.Joints)
	}
	if b := get("bend-near-a-hole").Parts[0].Bends[0]; b.Cutout != "C1" {
		t.Errorf("bend %+v", b)
	} else {
		is("flange", b.Flange, 20)
		is("gap", b.Gap, 4)
	}
	if b := get("bend-up-by-layer").Parts[0].Bends[0]; b.Direction != "up" || b.DirectionFrom == "" {
		t.Errorf("bend %+v", b)
	}
	if p := get("louvre-is-no-cut-out").Parts[0]; len(p.Forms) != 2 || p.Forms[0].Name != "LOUVRE" {
		t.Errorf("forms %+v", p.Forms)
	}
	inside := false
	for _, p := range get("island-in-a-cut-out").Parts {
		inside = inside || p.Inside != ""
	}
	if !inside {
		t.Error("no part lies inside another")
	}
}
