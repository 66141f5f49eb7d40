package rules

import (
	"errors"
	"math"
	"testing"
)

// Whatever people write, the parsers answer with a value in range or an error.
func FuzzInputs(f *testing.F) {
	for _, s := range []string{"2 mm", "16 ga steel", "1 1/2\"", "-0.3/-0.5", "±0.1", "P2", "R0.3-0.5", "0.4x45", "DX51D+Z275", "stainless 304", "Edelstahl verzinkt", "İ galvanised", "laser n2", "G90"} {
		f.Add(s)
	}
	shop := DefaultShop()
	f.Fuzz(func(t *testing.T, text string) {
		if v, err := ParseThickness(text); err == nil && !(v.MM > 0 && v.MM <= 300) {
			t.Errorf("thickness %q is %g", text, v.MM)
		}
		if e, err := shop.Edge(text); err == nil {
			if !(e.Lower <= e.Upper) || math.IsNaN(e.TakesOff()) || e.Explain() == "" {
				t.Errorf("edge %q is %+v", text, e)
			}
		} else if !errors.Is(err, ErrVagueEdge) && err.Error() == "" {
			t.Errorf("edge %q: empty error", text)
		}
		if m, err := shop.Material(text); err == nil && (m.Stock.Density <= 0 || m.Group.Title == "" || m.Zinc < 0) {
			t.Errorf("material %q is %+v", text, m)
		}
		if m, ok := ParseZinc(text); ok && !(m > 0) {
			t.Errorf("zinc %q is %g", text, m)
		}
		if name, p, err := shop.Process(text); err == nil && (p == nil || shop.Processes[name] != p) {
			t.Errorf("process %q is %q", text, name)
		}
	})
}

// A shop file of any bytes loads or is refused, and never panics.
func FuzzLoadShop(f *testing.F) {
	f.Add([]byte("[line.belt-only]\nwidth = 3\n[[line.belt-only.head]]\nkind=\"belt\"\n"))
	f.Add([]byte("[limit]\nhole-reach = 2\n[[layer]]\nnames=[\"*\"]\nmeaning=\"cut\"\n"))
	f.Add([]byte("line = 3"))
	f.Add([]byte("line.a.b.c = [1,2]\nstock = {}\n[family]\nx.y = 1\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := LoadShop("f.toml", data)
		if err != nil {
			return
		}
		if _, err := s.Line(""); err != nil {
			t.Errorf("a shop without its default line was accepted: %v", err)
		}
		if _, err := Judge(plain().d, plain().p, plain().job, s); err != nil {
			t.Errorf("a shop that was accepted cannot judge: %v", err)
		}
	})
}
