package rules

import (
	"slices"
	"testing"

	"burrcast/analyze/measure"
)

// A shop's mixed work: a plate that every line takes, filmed stainless, a small
// part, and a grained face. Counts, sums and the choice are checked against the
// judgements one by one.
func TestMix(t *testing.T) {
	shop := DefaultShop()
	type work struct {
		part   measure.Part
		job    Job
		pieces int
	}
	filmed := order("1.4301", "1.5", "laser-n2", "+0.1")
	filmed.Film = given("yes")
	jobs := []work{
		{plate(200, 150, 5, 4), order("S235", "2", "laser-n2", "+0.1"), 40},
		{plate(300, 200, 5, 20), filmed, 25},
		{plate(40, 30, 0, 0), order("DC01", "1.5", "punch", "+0.1"), 100},
		{plate(400, 300, 8, 4), order("1.4301", "2", "laser-n2", "grained"), 5},
	}
	m := NewMix(shop)
	sum := map[string]*LineSummary{}
	for _, name := range shop.LineNames() {
		sum[name] = &LineSummary{}
	}
	for i, w := range jobs {
		verdicts, err := CompareLines(measure.Drawing{}, w.part, w.job, shop)
		if err != nil {
			t.Fatal(err)
		}
		m.Add("parts.dxf", string(rune('A'+i)), w.pieces, verdicts)
		for _, v := range verdicts {
			s := sum[v.Line]
			s.Cost = add(s.Cost, times(v.Judgement.Cost, w.pieces))
			s.HandTime = add(s.HandTime, times(v.Judgement.HandTime, w.pieces))
			s.Abrasive = add(s.Abrasive, times(v.Judgement.Abrasive, w.pieces))
		}
	}
	r := m.Report()
	if len(r.Lines) != len(shop.Lines) || r.Best != r.Lines[0].Line || r.Why == "" {
		t.Fatalf("%+v", r)
	}
	for i, l := range r.Lines {
		if n := l.Unaided + l.Brushing + l.Holding + l.Hand + l.Asking; n != 170 || l.Pieces != 170 {
			t.Errorf("%s: %d of %d pieces, want 170", l.Line, n, l.Pieces)
		}
		if l.Cost != sum[l.Line].Cost || l.HandTime != sum[l.Line].HandTime || l.Abrasive != sum[l.Line].Abrasive {
			t.Errorf("%s: %+v, want %+v", l.Line, l, *sum[l.Line])
		}
		if i > 0 && middle(l.Cost) < 0.98*middle(r.Lines[i-1].Cost) {
			t.Errorf("%s is listed behind a dearer line", l.Line)
		}
	}
	if r.Best == "belt-only" {
		t.Error("a belt alone serves filmed and grained work best")
	}
	if len(r.Differences) == 0 {
		t.Fatal("no part makes a difference")
	}
	for i, d := range r.Differences {
		if len(d.By) != len(shop.Lines) || d.Best == d.Worst || middle(d.Extra) <= 0 {
			t.Errorf("%+v", d)
		}
		if i > 0 && middle(d.Extra) > middle(r.Differences[i-1].Extra) {
			t.Error("differences are not most first")
		}
	}
	// The filmed part cannot go under a belt: on a belt alone it goes to the bench.
	i := slices.IndexFunc(r.Differences, func(d Difference) bool { return d.Part == "B" })
	if i < 0 || r.Differences[i].Worst != "belt-only" {
		t.Errorf("filmed part: %+v", r.Differences)
	}
	for _, w := range r.Differences[i].By {
		if w.Line == "belt-only" && (w.Treatment != Hand || w.Rule != "film-keep") {
			t.Errorf("filmed part on a belt alone: %+v", w)
		}
	}
	for _, d := range r.Next {
		if len(d.By) != 2 || !slices.Contains([]string{d.Best, d.Worst}, r.Best) || !slices.Contains([]string{d.Best, d.Worst}, r.Lines[1].Line) {
			t.Errorf("between the best and the next: %+v", d)
		}
	}
	// Nothing compared: nothing recommended.
	if r := NewMix(shop).Report(); r.Best != "" || len(r.Differences) > 0 {
		t.Errorf("empty mix: %+v", r)
	}
}

// Of two lines that cost the same within 2 % the one with less bench work is
// better.
func TestMixTies(t *testing.T) {
	shop := Shop{Lines: map[string]*LineSpec{"a": {}, "b": {}, "c": {}}}
	m := NewMix(shop)
	judged := func(cost, hand float64) Judgement {
		return Judgement{Cost: Range{cost, cost}, HandTime: Range{hand, hand}}
	}
	m.Add("x.dxf", "P1", 10, []LineVerdict{{"a", judged(1, 60)}, {"b", judged(1.01, 30)}, {"c", judged(2, 0)}})
	r := m.Report()
	var names []string
	for _, l := range r.Lines {
		names = append(names, l.Line)
	}
	if !slices.Equal(names, []string{"b", "a", "c"}) {
		t.Errorf("lines %v", names)
	}
	if len(r.Differences) != 0 {
		t.Errorf("same treatment everywhere, but %+v", r.Differences)
	}
}
