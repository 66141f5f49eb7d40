package rules

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestDefaultShop(t *testing.T) {
	s := DefaultShop()
	if len(s.Lines) < 4 {
		t.Errorf("%d lines, want at least four", len(s.Lines))
	}
	// The four configurations that a job shop chooses between.
	kinds := func(name string) string {
		l, err := s.Line(name)
		if err != nil {
			t.Fatal(err)
		}
		var k []string
		for _, h := range l.Heads {
			k = append(k, h.Kind)
		}
		return strings.Join(k, " ")
	}
	for name, want := range map[string]string{
		"belt-only": "belt", "": "belt drum-brush", "belt-and-disc-brush-wet": "belt disc-brush oscillating-brush", "three-heads-grain": "belt drum-brush belt",
	} {
		if got := kinds(name); got != want {
			t.Errorf("line %q: heads %s, want %s", name, got, want)
		}
	}
	if wet, _ := s.Line("belt-and-disc-brush-wet"); !wet.Wet {
		t.Error("the wet line is dry")
	}
	// Tools: bundles of the brushes, three filaments or as stated.
	for name, want := range map[string][]float64{"belt-only": nil, "": {2.4}, "belt-and-disc-brush-wet": {3, 4}, "nowhere": nil} {
		got := s.Tools(name)
		if len(got) != len(want) {
			t.Errorf("tools of %q: %v, want %v", name, got, want)
			continue
		}
		for i := range got {
			near(t, "tool", got[i], want[i], 1e-9)
		}
	}
	for key, f := range s.Families {
		if f.Source == "" || f.Provenance == "" {
			t.Errorf("family %s: no source", key)
		}
	}
	for key, v := range s.Stocks {
		if v.Source == "" || v.Provenance == "" {
			t.Errorf("stock %s: no source", key)
		}
	}
	for key, p := range s.Processes {
		if p.Source == "" || p.Provenance == "" || p.Side == "" {
			t.Errorf("process %s: no source or side", key)
		}
		for _, b := range p.Burrs {
			if b.Source == "" || b.Provenance == "" || b.Kind == "" {
				t.Errorf("process %s: burr row without kind or source: %+v", key, b)
			}
		}
	}
	for key, e := range s.Edges {
		if e.Source == "" || e.Provenance == "" || e.Title == "" {
			t.Errorf("edge %s: no title or source", key)
		}
	}
	// A copy of its own: what one caller changes no other sees.
	s.Lines["belt-only"].Width = 1
	if DefaultShop().Lines["belt-only"].Width == 1 {
		t.Error("two default shops share a line")
	}
	// Every process of the design has a forecast at 2 mm for every family.
	for key, p := range s.Processes {
		for family := range s.Families {
			m, err := s.Material(family)
			if err != nil {
				t.Fatal(err)
			}
			b := ForecastBurr(key, p, m, 2)
			if b == nil || b.Low < 0 || b.Low > b.High {
				t.Errorf("%s on %s: forecast %+v", key, family, b)
			}
		}
	}
}

func TestShopFileIsTheDefault(t *testing.T) {
	s, err := LoadShop("shop.toml", ShopFile())
	if err != nil {
		t.Fatal(err)
	}
	d := DefaultShop()
	s.LayerRows, s.Layers, d.LayerRows, d.Layers = nil, nil, nil, nil // the file's stand before the built-in ones
	if !reflect.DeepEqual(s, d) {
		t.Error("loading the printed shop file changes the shop")
	}
	ShopFile()[0] = 'X'
	if ShopFile()[0] == 'X' {
		t.Error("callers share the file's bytes")
	}
	if strings.Contains(string(ShopFile()), "\t") || strings.Contains(string(ShopFile()), "\r") {
		t.Error("the shop file holds tabs or carriage returns")
	}
}

// The printed file lists every limit with its default, ready to be set.
func TestShopFileListsEveryLimit(t *testing.T) {
	file := string(ShopFile())
	list := file[strings.Index(file, "[limit]"):]
	for _, r := range Rules() {
		if want := fmt.Sprintf("\n# %s = %g  # %s: %s\n", r.Name, r.Default, r.Unit, r.Title); !strings.Contains(list+"\n", want) {
			t.Errorf("the shop file lacks%s", want)
		}
	}
	for name, text := range ExtraLimits() {
		if !strings.Contains(list, "\n# "+name+" = ") || !strings.Contains(list, "  # "+text) {
			t.Errorf("the shop file lacks limit %s", name)
		}
	}
	// With every # taken off it still loads.
	var b strings.Builder
	b.WriteString("[limit]\n")
	for _, line := range strings.Split(list, "\n") {
		if strings.HasPrefix(line, "# ") && strings.Contains(line, " = ") {
			b.WriteString(line[2:] + "\n")
		}
	}
	s, err := LoadShop("all.toml", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := len(s.Limits), len(Rules())+len(ExtraLimits()); got != want {
		t.Errorf("%d limits read, want %d", got, want)
	}
}

func TestLoadShopOverridesFieldByField(t *testing.T) {
	s, err := LoadShop("own.toml", []byte(`
currency = "USD"

[line.belt-and-drum-brush]
width = 1300

[line.small]
title = "bench machine"
hold = ["magnet"]
magnet-pull = 30
magnet-full = 3
width = 300
length = [30, 600]
least-width = 20
thickness = [1, 6]
friction-dry = 0.5
friction-wet = 0.2
conveyor-speed = [0.5, 3]

[[line.small.head]]
name = "discs"
kind = "disc-brush"
filament = 0.5
speed = [8, 20]
force = 0.1
force-ratio = 0.3

[stock.hardox]
title = "wear plate"
family = "steel"
density = 7850
rm = [1200, 1600]
magnetic = true
names = ["wear plate"]
source = "mill sheet"
provenance = "shop"

[process.laser-n2]
tool-state = "worn"

[rate]
loader = 5

[limit]
hole-reach = 4
bundle-filaments = 5

[[layer]]
names = ["0"]
meaning = "ignore"
`))
	if err != nil {
		t.Fatal(err)
	}
	d := DefaultShop()
	l, was := s.Lines["belt-and-drum-brush"], d.Lines["belt-and-drum-brush"]
	if l.Width != 1300 || l.Vacuum != was.Vacuum || len(l.Heads) != len(was.Heads) {
		t.Errorf("line overridden wrongly: %+v", l)
	}
	if s.Currency != "USD" || s.DefaultLine != d.DefaultLine || s.Rates.Loader != 5 || s.Rates.HandHole != d.Rates.HandHole {
		t.Errorf("rates overridden wrongly: %+v", s.Rates)
	}
	near(t, "tool", s.Tools("small")[0], 2.5, 1e-9)
	near(t, "tool of the default line", s.Tools("")[0], 4, 1e-9)
	if m, err := s.Material("wear plate"); err != nil || m.Key != "hardox" || m.Stock.Yield != 0 || m.YieldOrEstimate() != 720 {
		t.Errorf("own stock: %+v, %v", m, err)
	}
	if s.Meaning("0", "CONTINUOUS") != "ignore" || s.Meaning("BEND", "") != "bend" || d.Meaning("0", "CONTINUOUS") != "cut" {
		t.Error("the shop's layer patterns must stand before the built-in ones")
	}
	m, _ := s.Material("steel")
	worn, tuned := ForecastBurr("laser-n2", s.Processes["laser-n2"], m, 2), ForecastBurr("laser-n2", d.Processes["laser-n2"], m, 2)
	if !(worn.High > tuned.High) || !strings.Contains(worn.Note, "worn") {
		t.Errorf("tool state: worn %+v, tuned %+v", worn, tuned)
	}
}

func TestLoadShopErrors(t *testing.T) {
	for _, c := range []struct{ name, file, want string }{
		{"unknown table", "x = 1\n[lines.a]\n", `s.toml:1: unknown key "x"`},
		{"nearest table", "\n[lin.belt-only]\nwidth = 2\n", `s.toml:2: unknown key "lin", did you mean "line"?`},
		{"nearest key", "[line.belt-only]\nwith = 3\n", `s.toml:2: unknown key "line.belt-only.with", did you mean "width"?`},
		{"nearest key in a head", "[[line.belt-only.head]]\nkind = \"belt\"\nfillament = 1\n", `s.toml:3: unknown key "line.belt-only.head.fillament", did you mean "filament"?`},
		{"syntax", "a = = 1\n", "s.toml:1:"},
		{"twice", "[rate]\nloader = 1\nloader = 2\n", "s.toml:3:"},
		{"wrong type", "[line.belt-only]\nwidth = \"wide\"\n", "s.toml:2: unexpected string for line.belt-only.width"},
		{"negative", "[line.belt-only]\nwidth = -1\n", "s.toml:2: line.belt-only.width: -1 is negative"},
		{"zero", "[line.belt-only]\nroller-pitch = 0\n", "s.toml:2: line.belt-only.roller-pitch: must be given and above 0"},
		{"not finite", "[line.belt-only]\nwidth = nan\n", "s.toml:2: line.belt-only.width: is not a number"},
		{"low above high", "[line.belt-only]\nlength = [300, 200]\n", "s.toml:2: line.belt-only.length: low 300 is above high 200"},
		{"three numbers", "[line.belt-only]\nlength = [1, 2, 3]\n", "s.toml:2: line.belt-only.length: needs two numbers, [low, high], not 3"},
		{"one number", "[rate]\nhand-hole = [1]\n", "s.toml:2: rate.hand-hole: needs two numbers"},
		{"share", "[line.belt-and-drum-brush]\nopen-area = 25\n", "s.toml:2: line.belt-and-drum-brush.open-area: 25 is above 1"},
		{"vacuum", "[line.belt-and-drum-brush]\nvacuum = 120\n", "s.toml:2: line.belt-and-drum-brush.vacuum: 120 kPa is more than the air presses"},
		{"hold", "[line.belt-only]\nhold = [\"glue\"]\n", `s.toml:2: line.belt-only.hold: "glue" is not known; one of rollers, vacuum, magnet`},
		{"no hold", "[line.belt-only]\nhold = []\n", "s.toml:2: line.belt-only.hold: must name"},
		{"head kind", "[[line.belt-only.head]]\nkind = \"saw\"\nspeed = [1, 2]\nforce = 1\nforce-ratio = 1\nfilament = 1\n", `s.toml:2: line.belt-only.head[0].kind: "saw" is not known`},
		{"second head", "[[line.belt-only.head]]\nkind = \"belt\"\ngrades = [\"P80\"]\nspeed = [1, 2]\nforce = 1\nforce-ratio = 1\n[[line.belt-only.head]]\nkind = \"disc-brush\"\nspeed = [1, 2]\nforce = 1\nforce-ratio = 1\n", "s.toml:7: line.belt-only.head[1].filament: a brush needs"},
		{"grade", "[[line.belt-only.head]]\nkind = \"belt\"\ngrades = [\"80\"]\nspeed = [1, 2]\nforce = 1\nforce-ratio = 1\n", `s.toml:3: line.belt-only.head[0].grades: "80" is not a P grade`},
		{"incomplete line", "[line.new]\nwidth = 100\n", "s.toml:1: line.new.hold: must name"},
		{"default line", "default-line = \"belt-onyl\"\n", `s.toml:1: default-line: no line named "belt-onyl" in the shop file, did you mean "belt-only"?`},
		{"family", "[stock.x]\nfamily = \"steal\"\ndensity = 1\nrm = [1, 2]\n", `s.toml:2: stock.x.family: no family named "steal", did you mean "steel"?`},
		{"tool state", "[process.punch]\ntool-state = \"blunt\"\n", `s.toml:2: process.punch.tool-state: "blunt" is not known`},
		{"burr row", "[[process.punch.burr]]\nheight = [0.2, 0.1]\nkind = \"burr\"\n", "s.toml:2: process.punch.burr[0].height: low 0.2 is above high 0.1"},
		{"edge", "[edge.x]\nnotation = \"0.3\"\nsides = \"both\"\n", `s.toml:2: edge.x.notation: edge "0.3" is not in the notation of ISO 13715`},
		{"empty edge", "[edge.x]\nsides = \"both\"\n", "s.toml:1: edge.x: says nothing"},
		{"sides", "[edge.paint]\nsides = \"top\"\n", `s.toml:2: edge.paint.sides: "top" is not known`},
		{"meaning", "[[layer]]\nnames = [\"A\"]\nmeaning = \"slice\"\n", `s.toml:3: layer[0].meaning: "slice" is not known`},
		{"empty layer", "[[layer]]\nmeaning = \"cut\"\n", "s.toml:1: layer[0]: needs names or line-types"},
		{"limit", "[limit]\nhole-reech = 2\n", `s.toml:2: limit.hole-reech: no rule or limit has this name, did you mean "hole-reach"?`},
		{"negative limit", "[limit]\nhole-reach = -2\n", "s.toml:2: limit.hole-reach: -2 is negative"},
		{"coating", "[coating.x]\nkind = \"tin\"\n", `s.toml:2: coating.x.kind: "tin" is not known`},
		{"hand rate", "[[rate.hand-metre]]\nto = 3\nseconds = [9, 3]\n", "s.toml:3: rate.hand-metre[0].seconds: low 9 is above high 3"},
		{"joints", "[carrier]\njoints = [4, 2]\n", "s.toml:2: carrier.joints: low 4 is above high 2"},
		{"no joint spacing", "[carrier]\njoint-spacing = 0\n", "s.toml:2: carrier.joint-spacing: must be given and above 0"},
		{"endless carrier", "[carrier]\nmost = 1e9\n", "s.toml:2: carrier.most: 1e+09 parts are no carrier"},
		{"carrier key", "[carrier]\nfrme = 1\n", `s.toml:2: unknown key "carrier.frme", did you mean "frame"?`},
		{"alternative", "[alternative.x]\nfor = [\"rust\"]\n", `s.toml:2: alternative.x.for[0]: "rust" is not known; one of oxide, holding`},
		{"alternative for nothing", "[alternative.x]\nper-kg = [1, 2]\n", "s.toml:1: alternative.x.for: says not what it is for"},
		{"alternative's family", "[alternative.x]\nfor = [\"oxide\"]\nfamilies = [\"steal\"]\n", `s.toml:3: alternative.x.families: no family named "steal", did you mean "steel"?`},
		{"alternative's price", "[alternative.pickling]\nper-m2 = [8, 3]\n", "s.toml:2: alternative.pickling.per-m2: low 8 is above high 3"},
		{"wear exponent", "[rate]\nwear-exponent = -1\n", "s.toml:2: rate.wear-exponent: -1 is negative"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := LoadShop("s.toml", []byte(c.file))
			if err == nil {
				t.Fatal("no error")
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("got:\n%v\nwant in it:\n%s", err, c.want)
			}
		})
	}
}

func TestLoadShopNamesEveryMistake(t *testing.T) {
	_, err := LoadShop("s.toml", []byte("[line.belt-only]\nwidth = -1\nleast-width = -2\n[rate]\nloader = -3\n"))
	for _, want := range []string{"s.toml:2:", "s.toml:3:", "s.toml:5:"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v lacks %s", err, want)
		}
	}
}

func TestLayerMeanings(t *testing.T) {
	s := DefaultShop()
	for layer, want := range map[string]string{
		"0": "cut", "CUT": "cut", "OUTLINE": "cut", "Kontur": "cut", "Aussenkante": "cut", "MANIFOLD": "cut", "MASSIV": "cut", "PLATFORM": "cut", "PROFILE": "cut",
		"BEND": "bend", "BEND_UP": "bend", "Biegelinie": "bend", "Abkantung": "bend", "PLIAGE": "bend", "Linea de pliegue": "bend", "PIEGATURA": "bend", "FOLD LINES": "bend",
		"ETCH": "etch", "Gravur": "etch", "MARQUAGE": "etch", "Grabado": "etch", "MARCATURA": "etch",
		"DEFPOINTS": "ignore", "TEXT": "note", "Beschriftung": "note", "DIMENSIONS": "note", "Bemaßung": "note", "COTES": "note", "Quote": "note", "HATCH": "note",
		"BORDER": "border", "Zeichnungsrahmen": "border", "Cartouche": "border", "TITLE_BLOCK": "border",
		"LOUVRES": "form", "Umformung": "form", "EMBOUTISSAGE": "form",
		"CONSTRUCTION": "construction", "Hilfslinien": "construction", "CENTERLINE": "construction", "Mittellinie": "construction", "AXES": "construction",
	} {
		if got := s.Meaning(layer, "CONTINUOUS"); got != want {
			t.Errorf("layer %q is %s, want %s", layer, got, want)
		}
	}
	for lineType, want := range map[string]string{"CONTINUOUS": "cut", "BYLAYER": "cut", "CENTER2": "construction", "DASHDOT": "construction", "DASHED": "bend", "PHANTOM": "bend"} {
		if got := s.Meaning("0", lineType); got != want {
			t.Errorf("line type %q is %s, want %s", lineType, got, want)
		}
	}
	if n := len(s.Layers); n < 100 {
		t.Errorf("%d patterns", n)
	}
	if len(Meanings()) != 8 || !slices.Contains(Meanings(), "cut") {
		t.Errorf("meanings %v", Meanings())
	}
}

func TestMatchPattern(t *testing.T) {
	for _, c := range []struct {
		pattern, name string
		want          bool
	}{
		{"*", "", true}, {"", "", true}, {"", "a", false}, {"a?c", "ABC", true}, {"a?c", "ac", false}, {"*bend*", "My_Bend_1", true},
		{"bend", "bend1", false}, {"*a*b*c", "xxaxxbxxbc", true}, {"*a*b*c", "xxaxxbxxbd", false}, {"PRÄ*", "prägung", true}, {"**", "x", true}, {"a*", "a", true},
	} {
		if got := MatchPattern(c.pattern, c.name); got != c.want {
			t.Errorf("%q on %q: %t", c.pattern, c.name, got)
		}
	}
	long := strings.Repeat("a", 3000)
	if MatchPattern(strings.Repeat("*a", 200)+"b", long) { // must end soon, too
		t.Error("matched")
	}
}
