package rules

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

func hintText(hints []Hint) string {
	var parts []string
	for _, h := range hints {
		parts = append(parts, h.Input+"="+h.Value)
	}
	slices.Sort(parts)
	return strings.Join(parts, " ")
}

func TestReadFileNames(t *testing.T) {
	shop := DefaultShop()
	for name, want := range map[string]string{
		"cover_2mm_304_x25.dxf":        "material=304 quantity=25 thickness=2",
		"PL3 S235 4off.DXF":            "material=S235 quantity=4 thickness=3",
		`C:\jobs\Blech t=2.dxf`:        "thickness=2",
		"halter-1.4301-t1,5-3Stk.dxf":  "material=1.4301 quantity=3 thickness=1.5",
		"lamiera sp.3 DC01.dxf":        "material=DC01 thickness=3",
		"16ga_CRS_bracket_qty4.dxf":    "material=CRS quantity=4 thickness=16 ga steel",
		"part_AlMg3_3mm-rev2.dxf":      "material=AlMg3 thickness=3",
		"base-DX51D+Z275-1.5mm.dxf":    "coating=Z275 material=DX51D+Z275 thickness=1.5",
		"1.5mm_Al_panel_x2.DXF":        "material=Al quantity=2 thickness=1.5",
		"plate 100x60 2mm.dxf":         "thickness=2",
		"guide_AlMg3_t2.dxf":           "material=AlMg3 thickness=2",
		"shim_0.075in_1.4301.dxf":      "material=1.4301 thickness=0.075 in",
		"cover(3 pcs)_S235_4mm.dxf":    "material=S235 quantity=3 thickness=4",
		"tôle inox 304L ép 1.5.dxf":    "material=304L",
		"tôle inox 304L ép. 1.5.dxf":   "material=304L thickness=1.5",
		"Edelstahl-V2A-2mm-10Stk.dxf":  "material=V2A quantity=10 thickness=2",
		"piastra_acciaio_spess. 3.dxf": "material=acciaio thickness=3",
		// Names that state nothing: a part number, a sheet size, a width, a thread.
		"bracket_304.dxf":       "",
		"plate_100mm.dxf":       "",
		"bracket_20mm.dxf":      "",
		"clip_10x8mm.dxf":       "",
		"clip_10 x 8mm.dxf":     "",
		"100x60x2mm.dxf":        "",
		"frame_2.dxf":           "",
		"10-32_screw_plate.dxf": "",
		"A4_holder.dxf":         "",
		"al2_bracket.dxf":       "",
		"gauge_16.dxf":          "",
		"motor_mount_v2.dxf":    "",
		"T2_table.dxf":          "",
		"m6x20.dxf":             "",
	} {
		if got := hintText(shop.ReadText(name, SourceFileName)); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
}

func TestReadNotes(t *testing.T) {
	shop := DefaultShop()
	for note, want := range map[string]string{
		"t=2":                                   "thickness=2",
		"t = 1,5 mm":                            "thickness=1.5",
		"3 Stk":                                 "quantity=3",
		"Anzahl: 12":                            "quantity=12",
		"ep. 2":                                 "thickness=2",
		"esp. 1.5":                              "thickness=1.5",
		"spess. 3":                              "thickness=3",
		"Epaisseur : 2":                         "thickness=2",
		"2 mm thk":                              "thickness=2",
		"THK 1/8 in":                            "thickness=1/8 in",
		"thickness 0.075 in":                    "thickness=0.075 in",
		"Material: 1.4301 t=2":                  "material=1.4301 thickness=2",
		"MAT. 304 SS 16 GA":                     "material=304 thickness=16 ga stainless",
		"10 GA GALV STEEL":                      "material=GALV STEEL thickness=10 ga galvanised",
		"16 GA":                                 "thickness=16 ga",
		"S235JR 3mm":                            "material=S235JR thickness=3",
		"Edelstahl 1.4301, 2 mm, foliert":       "film=yes material=1.4301 thickness=2",
		"steel 1.4301":                          "material=1.4301",
		"stainless steel, film one side":        "film=yes material=stainless steel",
		"steel galvanised 1.5 mm":               "material=galvanised thickness=1.5",
		"DC01 galvanised":                       "coating=zinc material=DC01",
		"S355 galvanised":                       "material=S355", // hot-dipped after fabrication as a rule
		"ISO 13715 -0.3/-0.5":                   "edge=-0.3/-0.5",
		"Kanten gebrochen 0,3":                  "edge=-0.3",
		"break sharp edges 0.2-0.5":             "edge=-0.2/-0.5",
		"BREAK ALL SHARP EDGES":                 "edge=safe-to-handle",
		"all parts burr-free":                   "edge=burr-free",
		"Alle Kanten gratfrei":                  "edge=gratfrei",
		"ISO 8501-3 P2":                         "edge=P2",
		"powder coat RAL 7035":                  "coating=paint coating=powder",
		"plasma cut":                            "process=plasma",
		"abrasive waterjet":                     "process=waterjet",
		"MATERIAL: S235 THICKNESS: 3 QTY: 5":    "material=S235 quantity=5 thickness=3",
		"Werkstoff: 1.0038\nDicke: 4":           "material=1.0038 thickness=4",
		"2 mm here, 3 mm there, t=2 or t=3":     "thickness=2 thickness=3",
		"AISI 304":                              "material=AISI 304",
		"Mat. A2":                               "material=A2",
		"aluminium 5754 3 mm H22":               "material=5754 thickness=3",
		"acier ep.2 mm, 6 pièces, sans bavures": "edge=sans bavures material=acier quantity=6 thickness=2",
		// Notes that state nothing.
		"2": "", "2 mm": "", "Ø5": "", "R2": "", "100": "", "t 2": "", "4x M6": "", "4x Ø5.5": "", "M6x20": "",
		"Scale 1:2": "", "S=1:2": "", "Al": "", "304": "", "DATE 2024-03-04": "", "laser cut": "",
		"1.4301, edge radius 2 mm": "material=1.4301",
		"not painted":              "", "ohne Schutzfolie": "", "sans film": "", "NO PVC FILM": "", "material handling": "",
		"ALL DIMENSIONS IN MM": "", "SHEET 1 OF 2": "", "0.060 THK": "", "edge 0.5 x 45": "", "Kunststoff": "",
		"SIZE A4": "", "tolerance ±0.2": "",
	} {
		if got := hintText(shop.ReadText(note, "note")); got != want {
			t.Errorf("%q: got %q, want %q", note, got, want)
		}
	}
}

func TestReadTextEdgeCases(t *testing.T) {
	shop := DefaultShop()
	for _, s := range []string{"", " ", "\xff\xfe", strings.Repeat("t=2 ", 2000), "ü", "t=", "x", "=", "PL", "ga", "1 ga"} {
		for _, source := range []string{SourceFileName, "note"} {
			for _, h := range shop.ReadText(s, source) {
				if h.Source != source || h.Value == "" {
					t.Errorf("%.20q: %+v", s, h)
				}
			}
		}
	}
}

func TestFill(t *testing.T) {
	shop := DefaultShop()
	note := func(s string) []Hint { return shop.ReadText(s, "note on layer TEXT") }
	name := func(s string) []Hint { return shop.ReadText(s, SourceFileName) }

	t.Run("the more trusted group wins and says so", func(t *testing.T) {
		var job Job
		c := shop.Fill(&job, note("t=2"), name("cover_3mm_304.dxf"))
		if job.Thickness != (Given{"2", "note on layer TEXT"}) || job.Material.Value != "304" {
			t.Errorf("job %+v", job)
		}
		if len(c) != 1 || c[0].Input != "thickness" || !strings.Contains(c[0].Text, "3 by file name") {
			t.Errorf("conflicts %+v", c)
		}
	})
	t.Run("two notes that disagree leave it open", func(t *testing.T) {
		var job Job
		c := shop.Fill(&job, append(note("t=2"), note("t=3")...))
		if job.Thickness.Value != "" || len(c) != 1 {
			t.Errorf("job %+v, conflicts %+v", job, c)
		}
	})
	t.Run("a given value stays without a conflict", func(t *testing.T) {
		job := Job{Thickness: Given{"5", "flag"}}
		if c := shop.Fill(&job, note("t=2")); len(c) != 0 || job.Thickness.Value != "5" {
			t.Errorf("job %+v, conflicts %+v", job, c)
		}
	})
	t.Run("a family and its grade agree, the grade is taken", func(t *testing.T) {
		var job Job
		c := shop.Fill(&job, append(note("stainless steel"), note("Mat. 1.4404")...))
		if len(c) != 0 || job.Material.Value != "1.4404" {
			t.Errorf("job %+v, conflicts %+v", job, c)
		}
	})
	t.Run("quantity", func(t *testing.T) {
		var job Job
		if c := shop.Fill(&job, name("a_x25.dxf")); len(c) != 0 || job.Quantity != 25 {
			t.Errorf("job %+v, conflicts %+v", job, c)
		}
	})
	t.Run("a conflict makes the part ask", func(t *testing.T) {
		job := order("", "2", "laser-n2", "+0.1")
		job.Conflicts = []Conflict{{"material", "material is steel by note and 1.4301 by file name"}}
		if j := judge(t, plate(100, 60, 5, 4), job); j.Treatment != Ask {
			t.Errorf("treatment %d", j.Treatment)
		}
	})
}

func BenchmarkReadText(b *testing.B) {
	shop := DefaultShop()
	for b.Loop() {
		shop.ReadText("Edelstahl 1.4301, 2 mm, foliert, alle Kanten gratfrei", "note")
	}
}

func FuzzReadText(f *testing.F) {
	for _, s := range []string{"cover_2mm_304_x25.dxf", "Blech t=2", "ISO 13715 -0.3/-0.5", "DX51D+Z275", "16 ga steel", "ép. 2"} {
		f.Add(s, true)
	}
	shop := DefaultShop()
	f.Fuzz(func(t *testing.T, text string, name bool) {
		source := "note"
		if name {
			source = SourceFileName
		}
		for _, h := range shop.ReadText(text, source) {
			switch h.Input {
			case "material":
				if _, err := shop.Material(h.Value); err != nil {
					t.Errorf("%q: %v", text, err)
				}
			case "thickness":
				if _, err := ParseThickness(h.Value); err != nil && !strings.Contains(fmt.Sprint(err), "ga") {
					t.Errorf("%q: %v", text, err)
				}
			case "edge":
				if _, err := shop.Edge(h.Value); err != nil && !strings.Contains(err.Error(), ErrVagueEdge.Error()) {
					t.Errorf("%q: %v", text, err)
				}
			}
		}
	})
}
