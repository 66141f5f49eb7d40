package samples

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"burrcast/rules"
)

var today = time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)

const ownShop = `# our shop
default-line = "belt-and-drum-brush"   # the only one

[limit]
# from the foreman
hole-reach = 2.2
`

func learn(t *testing.T, shop string, tables ...Table) Result {
	t.Helper()
	s, err := rules.LoadShop("shop.toml", []byte(shop))
	if err != nil {
		t.Fatal(err)
	}
	return Learn(tables, s, Options{})
}

// What the user wrote stays byte for byte; what was fitted is read back by the
// shop file's reader and counts.
func TestRewrite(t *testing.T) {
	for _, end := range []string{"\n", "\r\n"} {
		own := strings.ReplaceAll(ownShop, "\n", end)
		out, entries, changed, err := Rewrite("shop.toml", []byte(own), learn(t, own, inspected(40, 3, 20, 1, "2026-03-01")), today)
		if err != nil || !changed || len(entries) != 1 || !entries[0].Written {
			t.Fatalf("%v %v %+v", err, changed, entries)
		}
		block, ok := strings.CutPrefix(string(out), own+end)
		if !ok {
			t.Fatalf("the user's part changed:\n%s", out)
		}
		if end == "\r\n" && strings.Count(block, "\n") != strings.Count(block, "\r\n") {
			t.Error("line ends are mixed")
		}
		for _, want := range []string{"fitted to 40 samples, the last of 2026-03-01; without samples 2.2 mm", "95 % interval", "[fitted.belt-and-drum-brush.hole-reach]", "filament = 0.8"} {
			if !strings.Contains(block, want) {
				t.Errorf("no %q in\n%s", want, block)
			}
		}
		shop, err := rules.LoadShop("shop.toml", out)
		if err != nil {
			t.Fatal(err)
		}
		f, ok := shop.FittedOn("", "hole-reach")
		if !ok || f.Samples != 40 || f.Limit < 2.6 || f.Limit > 3.4 || f.Interval[0] > 3 || f.Interval[1] < 3 || f.Date != "2026-03-01" || f.Share != 0.5 {
			t.Errorf("%+v", f)
		}
	}
}

// Written twice it is the same file; with more samples the block alone changes,
// and another rule joins it. What the user wrote below the block stays.
func TestRewriteAgain(t *testing.T) {
	first, _, _, err := Rewrite("shop.toml", []byte(ownShop), learn(t, ownShop, inspected(40, 3, 20, 1, "2026-03-01")), today)
	if err != nil {
		t.Fatal(err)
	}
	first = append(first, "\n[rate]\nloader = 4 # slow\n"...)
	again, _, changed, err := Rewrite("shop.toml", first, learn(t, string(first), inspected(40, 3, 20, 1, "2026-03-01")), today)
	if err != nil || changed || !bytes.Equal(again, first) {
		t.Errorf("%v, changed %v:\n%s", err, changed, again)
	}
	slots := inspected(40, 2.5, 12, 4, "2026-04-01")
	for i := range slots.Samples {
		slots.Samples[i].Rule = "slot-reach"
	}
	both, _, changed, err := Rewrite("shop.toml", first, learn(t, string(first), slots), today)
	if err != nil || !changed {
		t.Fatal(err, changed)
	}
	if s := string(both); !strings.HasPrefix(s, ownShop) || !strings.HasSuffix(s, "\n[rate]\nloader = 4 # slow\n") || strings.Count(s, blockBegin) != 1 {
		t.Errorf("\n%s", s)
	}
	shop, err := rules.LoadShop("shop.toml", both)
	if err != nil {
		t.Fatal(err)
	}
	if len(shop.Fitted["belt-and-drum-brush"]) != 2 || shop.Rates.Loader != 4 {
		t.Errorf("%+v", shop.Fitted)
	}
}

// Too little is shown and not written.
func TestRewriteRefuses(t *testing.T) {
	for name, table := range map[string]Table{"few": inspected(12, 3, 12, 1, "2026-03-01"), "wide": inspected(30, 3, 2, 1, "2026-03-01")} {
		out, entries, changed, err := Rewrite("shop.toml", []byte(ownShop), learn(t, ownShop, table), today)
		if err != nil || changed || string(out) != ownShop || len(entries) != 1 || entries[0].Written || entries[0].Why == "" {
			t.Errorf("%s: %v %v %+v", name, err, changed, entries)
		}
	}
}

// Later samples that contradict the limit are flagged, and not mixed with the
// earlier ones; those after the change alone are fitted.
func TestRewriteAfterDrift(t *testing.T) {
	march, may := inspected(40, 2.4, 20, 1, "2026-03-01"), inspected(60, 3.2, 20, 2, "2026-05-01")
	first, _, _, err := Rewrite("shop.toml", []byte(ownShop), learn(t, ownShop, march), today)
	if err != nil {
		t.Fatal(err)
	}
	r := learn(t, string(first), march, may)
	if d := r.Groups[0].Drift; d == nil || !d.Flagged || d.Samples != 60 || 2*d.BurrMore < d.Contradictions {
		t.Fatalf("%+v", d)
	}
	_, entries, changed, err := Rewrite("shop.toml", first, r, today)
	if err != nil || changed || !strings.Contains(entries[0].Why, "--since") {
		t.Errorf("%v %v %+v", err, changed, entries)
	}
	shop, err := rules.LoadShop("shop.toml", first)
	if err != nil {
		t.Fatal(err)
	}
	later := Learn([]Table{march, may}, shop, Options{Since: time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC)})
	_, entries, changed, err = Rewrite("shop.toml", first, later, today)
	if err != nil || !changed || !entries[0].Written {
		t.Errorf("%v %v %+v", err, changed, entries)
	}
	// Samples that agree are no drift.
	same := learn(t, string(first), march, inspected(40, 2.4, 20, 5, "2026-05-01"))
	if d := same.Groups[0].Drift; d == nil || d.Flagged || d.Samples != 40 {
		t.Errorf("%+v", d)
	}
}

func TestRewriteOfBrokenBlocks(t *testing.T) {
	first, _, _, err := Rewrite("shop.toml", []byte(ownShop), learn(t, ownShop, inspected(40, 3, 20, 1, "2026-03-01")), today)
	if err != nil {
		t.Fatal(err)
	}
	s := string(first)
	for name, text := range map[string]string{
		"no marks":   strings.Replace(strings.Replace(s, blockBegin, "", 1), blockEnd, "", 1),
		"one mark":   strings.Replace(s, blockEnd, "", 1),
		"turned":     strings.Replace(strings.Replace(strings.Replace(s, blockBegin, "#X", 1), blockEnd, blockBegin, 1), "#X", blockEnd, 1),
		"two blocks": s + strings.Replace(s[strings.Index(s, blockBegin):], "hole-reach", "slot-reach", 1),
	} {
		if out, _, changed, err := Rewrite("shop.toml", []byte(text), learn(t, text, inspected(40, 3, 20, 1, "2026-03-01")), today); err == nil || changed {
			t.Errorf("%s: %v\n%s", name, changed, out)
		}
	}
}

func TestRewriteOfHeights(t *testing.T) {
	csv := "drawing,part,piece,place,rule,line,material,thickness,process,measured,outcome,height_cut\n"
	for _, h := range []string{"0.02", "0.03", "0.05", "0.04", "0.025", "0.06", "0.035", "0.045", "0.03", "0.05"} {
		csv += "a.dxf,P1," + h + strings.Repeat("1", strings.Count(csv, "\n")) + ",C1,hole-reach,belt-and-drum-brush,S235,2,laser-n2,3,ok," + h + "\n"
	}
	table := ReadCSV("h.csv", []byte(csv), context())
	out, _, changed, err := Rewrite("shop.toml", []byte(ownShop), learn(t, ownShop, table), today)
	if err != nil || !changed || !strings.Contains(string(out), "[[process.laser-n2.sampled]]") {
		t.Fatalf("%v %v\n%s", err, changed, out)
	}
	shop, err := rules.LoadShop("shop.toml", out)
	if err != nil {
		t.Fatal(err)
	}
	if p := shop.Processes["laser-n2"].Sampled; len(p) != 1 || p[0].Samples != 10 || p[0].Date != "2026-06-01" {
		t.Errorf("%+v", p)
	}
}
