package samples

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"burrcast/rules"
)

// inspected is a table of hole-reach samples of a shop whose true limit is known.
func inspected(n int, limit, steep float64, seed uint64, date string) Table {
	rng := rand.New(rand.NewPCG(11, seed))
	d, err := time.Parse(time.DateOnly, date)
	if err != nil {
		panic(err)
	}
	t := Table{File: fmt.Sprintf("s%d.csv", seed), Rows: n}
	for i, v := range simulate(rng, shopOf{limit / 2.4, steep}, n) {
		t.Samples = append(t.Samples, Sample{File: t.File, Row: i + 2, Drawing: fmt.Sprintf("d%d.dxf", i), Part: "P1", Piece: "1", Place: "C1",
			Rule: "hole-reach", Line: "belt-and-drum-brush", Measured: 2.4 * math.Exp(v.X), Filament: 0.8, Clean: v.Clean == 1, Date: d})
	}
	return t
}

func TestLearnALimit(t *testing.T) {
	r := Learn([]Table{inspected(40, 3, 20, 1, "2026-03-01")}, rules.DefaultShop(), Options{})
	if r.Used != 40 || len(r.Groups) != 1 || len(r.Duplicates) != 0 {
		t.Fatalf("%+v", r)
	}
	g := r.Groups[0]
	if !g.Settled || !g.Fitted || !g.HasDefault || math.Abs(g.Default-2.4) > 1e-9 || g.Unit != "mm" || g.Computed != 40 {
		t.Errorf("settled %v (%s), default %g, %s, %d computed", g.Settled, g.Why, g.Default, g.Unit, g.Computed)
	}
	if l := g.In(g.Limit.X); math.Abs(l/3-1) > 0.15 || g.In(g.Limit.Low) > 3 || g.In(g.Limit.High) < 3 {
		t.Errorf("limit %g, %g to %g", l, g.In(g.Limit.Low), g.In(g.Limit.High))
	}
	if g.In(g.Safe.X) <= g.In(g.Limit.X) {
		t.Errorf("nine of ten from %g, half from %g", g.In(g.Safe.X), g.In(g.Limit.X))
	}
	if g.Confusion.All() != 40 || g.Brier <= 0 || g.Brier > 0.35 {
		t.Errorf("%+v %g", g.Confusion, g.Brier)
	}
}

// Samples of brushes with other filaments are one group, since the measure is
// the width over the filament; the limit is for the brush that the line has.
func TestLearnOverFilaments(t *testing.T) {
	a, b := inspected(40, 3, 20, 1, "2026-03-01"), inspected(40, 3, 20, 1, "2026-03-02")
	for i := range b.Samples {
		b.Samples[i].Measured *= 1.5
		b.Samples[i].Filament *= 1.5
	}
	one := Learn([]Table{a}, rules.DefaultShop(), Options{}).Groups[0]
	other := Learn([]Table{b}, rules.DefaultShop(), Options{}).Groups[0]
	near(t, "limit", other.In(other.Limit.X), one.In(one.Limit.X), 1e-9)
	near(t, "Brier", other.Brier, one.Brier, 1e-9)
}

// A measure that is cleaner where it is smaller.
func TestLearnACorner(t *testing.T) {
	table := inspected(40, 3, 20, 1, "2026-03-01")
	for i := range table.Samples {
		s := &table.Samples[i]
		s.Rule, s.Measured = "corner-reach", 2.4*1.5/s.Measured
	}
	g := Learn([]Table{table}, rules.DefaultShop(), Options{}).Groups[0]
	up := Learn([]Table{inspected(40, 3, 20, 1, "2026-03-01")}, rules.DefaultShop(), Options{}).Groups[0]
	near(t, "limit", g.In(g.Limit.X), 2.4*1.5/up.In(up.Limit.X), 1e-6)
	near(t, "low end", g.In(g.Limit.Low), 2.4*1.5/up.In(up.Limit.High), 1e-4)
	if !g.Settled || g.In(g.Safe.X) >= g.In(g.Limit.X) {
		t.Errorf("settled %v (%s), fitted %v, %d more", g.Settled, g.Why, g.Fitted, g.More)
	}
}

func TestDuplicates(t *testing.T) {
	a := inspected(6, 3, 12, 1, "2026-03-01")
	b := Table{File: "again.csv", Samples: append([]Sample{}, a.Samples[:3]...)}
	b.Samples[1].Clean = !b.Samples[1].Clean
	b.Samples[2].Date = b.Samples[2].Date.AddDate(0, 1, 0) // the same place of the next lot
	b.Samples[0].Drawing = "./D0.dxf"
	r := Learn([]Table{a, b}, rules.DefaultShop(), Options{})
	if len(r.Duplicates) != 2 || r.Duplicates[0].Contradicts || !r.Duplicates[1].Contradicts || r.Duplicates[1].First.Row != 3 {
		t.Fatalf("%+v", r.Duplicates)
	}
	if r.Used != 6-1+1 {
		t.Errorf("%d used", r.Used)
	}
}

func TestSince(t *testing.T) {
	r := Learn([]Table{inspected(6, 3, 12, 1, "2026-03-01"), inspected(5, 3, 12, 2, "2026-04-01")}, rules.DefaultShop(),
		Options{Since: time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC)})
	if r.Used != 5 || r.Older != 6 {
		t.Errorf("%d used, %d older", r.Used, r.Older)
	}
}

// Too few samples give what they give, what is lacking, and where to look.
func TestUnsettled(t *testing.T) {
	table := inspected(8, 3, 12, 3, "2026-03-01")
	for _, d := range []float64{1, 3.1, 9} {
		table.Waiting = append(table.Waiting, Sample{Rule: "hole-reach", Line: "belt-and-drum-brush", Place: fmt.Sprint(d), Measured: d})
	}
	g := Learn([]Table{table}, rules.DefaultShop(), Options{}).Groups[0]
	if g.Settled || !strings.Contains(g.Why, "8 samples; 20 are needed") || !g.HasMore || g.More < 12 {
		t.Errorf("settled %v (%s), fitted %v, %d more", g.Settled, g.Why, g.Fitted, g.More)
	}
	if g.Next == nil || g.Next.Place != "3.1" {
		t.Errorf("next: %+v", g.Next)
	}
	// Samples that all say the same bound nothing.
	table = inspected(30, 3, 12, 3, "2026-03-01")
	for i := range table.Samples {
		table.Samples[i].Clean = true
	}
	g = Learn([]Table{table}, rules.DefaultShop(), Options{}).Groups[0]
	if g.Settled || g.Why == "" {
		t.Errorf("settled %v (%s), fitted %v, %d more", g.Settled, g.Why, g.Fitted, g.More)
	}
	// One measure only: there is no curve.
	for i := range table.Samples {
		table.Samples[i].Measured = 3
	}
	g = Learn([]Table{table}, rules.DefaultShop(), Options{}).Groups[0]
	if g.Settled || g.Fitted || g.Why == "" {
		t.Errorf("settled %v (%s), fitted %v, %d more", g.Settled, g.Why, g.Fitted, g.More)
	}
}

func TestChance(t *testing.T) {
	near(t, "at the limit", Chance(2.4, 2.4, 1, 0), 0.5, 1e-12)
	near(t, "a quarter above it", Chance(3, 2.4, 1, 0), 6.0/7, 0.002)
	near(t, "the other way", Chance(2.4, 3, -1, 0), Chance(3, 2.4, 1, 0), 1e-12)
	shop := rules.DefaultShop()
	near(t, "by the shop's limit", ForecastOf(shop, "hole-reach", "", 2.4, 2.4), 0.5, 1e-12)
	shop.Fitted = map[string]map[string]*rules.FittedLimit{"belt-and-drum-brush": {"hole-reach": {Limit: 3, Share: 0.9, Steepness: 10, Filament: 0.8}}}
	near(t, "at the fitted limit", ForecastOf(shop, "hole-reach", "", 3, 2.4), 0.9, 1e-12)
}

// Heights are sorted by process, family and thickness; each stands beside what
// was forecast.
func TestHeightGroups(t *testing.T) {
	csv := "drawing,part,piece,place,rule,line,material,thickness,process,measured,outcome,height_cut,date\n"
	for i := range 12 {
		csv += fmt.Sprintf("a.dxf,P1,%d,C1,hole-reach,belt-and-drum-brush,S235,2,laser-n2,3,ok,%g,2026-05-0%d\n", i, 0.02+0.005*float64(i), 1+i%9)
		csv += fmt.Sprintf("b.dxf,P1,%d,C1,hole-reach,belt-and-drum-brush,1.4301,5,laser-n2,3,ok,0.2,2026-05-01\n", i)
	}
	csv += "c.dxf,P1,1,C1,hole-reach,belt-and-drum-brush,,5,laser-n2,3,ok,0.2,2026-05-01\n"
	table := ReadCSV("h.csv", []byte(csv), context())
	if len(table.Problems) > 0 {
		t.Fatal(table.Problems)
	}
	r := Learn([]Table{table}, rules.DefaultShop(), Options{})
	if len(r.Heights) != 2 {
		t.Fatalf("%+v", r.Heights)
	}
	stainless, steel := r.Heights[0], r.Heights[1]
	if stainless.Settled || stainless.Fit.N != 12 || stainless.Inside != 12 || stainless.Forecast != (rules.Range{Low: 0.05, High: 0.5}) {
		t.Errorf("%+v", stainless)
	}
	if !steel.Settled || steel.Thickness != 2 || steel.Inside != 7 || steel.Forecast.High != 0.05 || steel.Date.Day() != 9 {
		t.Errorf("%+v", steel)
	}
}
