package dxf

import (
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
)

func TestPlainTextCodes(t *testing.T) {
	for in, want := range map[string]string{
		"plain":           "plain",
		"%%c12 %%p0.1":    "Ø12 ±0.1",
		"90%%d, 50%%%":    "90°, 50%",
		"%%UTITLE%%u":     "TITLE",
		"%%o%%ka":         "a",
		"%%065%%176":      "A°",
		"%%":              "%%",
		"%%z":             "%%z",
		"a^Ib^ c^":        "a\tb^c^",
		"^ü":              "^ü",
		"50 % of 20 %%C3": "50 % of 20 Ø3",
	} {
		if got := plainTextCodes(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func TestPlainMText(t *testing.T) {
	for in, want := range map[string]string{
		"plain":                              "plain",
		`one\Ptwo\~three`:                    "one\ntwo three",
		`{\fArial|b1|i0;bold} \H2.5x;big`:    "bold big",
		`\A1;\C1;red\c255; \W0.8;\T1;\Q15;a`: "red a",
		`\Lunder\l \Oover\o \Kstruck\k`:      "under over struck",
		`1\S1/2; and \S+0.1^ -0.2; \S3#4;`:   "11/2 and +0.1/-0.2 3/4",
		`\pxi-3,l3,t3;item`:                  "item",
		`back\\slash \{brace\}`:              `back\slash {brace}`,
		`%%c5 %%d`:                           "Ø5 °",
		`ends in \`:                          `ends in \`,
		`\Hunfinished`:                       "unfinished",
		`\Sunfinished`:                       "unfinished",
		"t = 2 mm\\P1.4301":                  "t = 2 mm\n1.4301",
	} {
		if got := plainMText(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func TestUnescape(t *testing.T) {
	for in, want := range map[string]string{
		`\U+00D8 5`:        "Ø 5",
		`\u+4e2d\U+6587`:   "中文",
		`\U+12`:            `\U+12`,
		`\U+ZZZZ\U+0041`:   `\U+ZZZZA`,
		`no code, U+0041 `: `no code, U+0041 `,
		// Shift-JIS 88 9F is the first kanji of the code page, U+4E9C.
		`\M+1889F\M+9889F`: `亜\M+9889F`,
		`a\M+1`:            `a\M+1`,
	} {
		if got := unescape(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// TestNotes checks text, place and height of notes through blocks and units.
func TestNotes(t *testing.T) {
	block := tags("0 BLOCK 2 b 10 0 20 0 0 TEXT 8 0 10 1 20 0 40 2 1 1.4301 0 ATTDEF 8 0 10 0 20 0 40 1 1 default 2 TAG 0 ENDBLK")
	ents := tags("0 INSERT 8 info 66 1 2 b 10 10 20 0 41 2 42 2 50 90 0 ATTRIB 8 info 10 7 20 8 40 3 1 t=2 2 TAG 0 SEQEND "+
		"0 LINE 8 cut 10 0 20 0 11 1 21 0 0 MTEXT 8 info 10 5 20 6 40 1.5") +
		"  3\n{\\H2;steel, 3 \\Pgalva\n  3\nnised} \n  1\nand more\n"
	text := tags("0 SECTION 2 BLOCKS") + block + tags("0 ENDSEC 0 SECTION 2 ENTITIES") + ents + tags("0 ENDSEC 0 EOF")
	for _, end := range []string{"\n", "\r\n", "\r"} {
		checkNotes(t, strings.ReplaceAll(text, "\n", end))
	}
}

func checkNotes(t *testing.T, text string) {
	t.Helper()
	d, err := ReadBytes([]byte(text), Options{Units: "cm"})
	if err != nil {
		t.Fatal(err)
	}
	want := []Note{
		{Text: "1.4301", At: r2.Point{X: 100, Y: 20}, Height: 40, Layer: "info"},
		{Text: "t=2", At: r2.Point{X: 70, Y: 80}, Height: 30, Layer: "info"},
		{Text: "steel, 3 \ngalvanised and more", At: r2.Point{X: 50, Y: 60}, Height: 15, Layer: "info"},
	}
	if len(d.Notes) != len(want) {
		t.Fatalf("%d notes: %+v", len(d.Notes), d.Notes)
	}
	for i, w := range want {
		n := d.Notes[i]
		if n.Text != w.Text || n.At.Sub(w.At).Norm() > 1e-9 || n.Height != w.Height || n.Layer != w.Layer || n.Line < 1 {
			t.Errorf("note %d: %+v, want %+v", i, n, w)
		}
	}
}

// TestCodePages decodes layer names and texts as the header says.
func TestCodePages(t *testing.T) {
	encode := func(s string, enc interface{ String(string) (string, error) }) string {
		out, err := enc.String(s)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	const cyrillic, german, japan = "сталь", "Stärke", "鋼板"
	for _, c := range []struct {
		name, version, page, raw, want string
	}{
		{"utf-8", "AC1021", "ANSI_1252", cyrillic, cyrillic},
		{"ANSI_1251", "AC1015", "ANSI_1251", encode(cyrillic, charmap.Windows1251.NewEncoder()), cyrillic},
		{"ansi_1252 in small letters", "AC1009", "ansi_1252", encode(german, charmap.Windows1252.NewEncoder()), german},
		{"dos850", "AC1009", "dos850", encode(german, charmap.CodePage850.NewEncoder()), german},
		{"ANSI_932", "AC1015", "ANSI_932", encode(japan, japanese.ShiftJIS.NewEncoder()), japan},
		{"no page named", "AC1009", "", encode(german, charmap.Windows1252.NewEncoder()), german},
		{"unknown page", "AC1015", "MARS_1", encode(german, charmap.Windows1252.NewEncoder()), german},
		{"utf-8 in an old version", "AC1015", "ANSI_1252", german, german},
		{"escape", "AC1015", "ANSI_1252", `\U+0441\U+0442\U+0430\U+043B\U+044C`, cyrillic},
		// A newer file whose bytes are no UTF-8 falls back to the page named.
		{"new version, old bytes", "AC1027", "ANSI_1251", encode(german, charmap.Windows1252.NewEncoder()), "Stдrke"},
	} {
		text := tags("0 SECTION 2 HEADER 9 $ACADVER 1 " + c.version)
		if c.page != "" {
			text += tags("9 $DWGCODEPAGE 3 " + c.page)
		}
		text += tags("0 ENDSEC 0 SECTION 2 ENTITIES 0 LINE 8 "+c.raw+" 10 0 20 0 11 1 21 0 0 TEXT 10 0 20 0 40 1 1 "+c.raw) + tags("0 ENDSEC 0 EOF")
		d, err := ReadBytes([]byte(text), Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := d.Paths[0].Layer; got != c.want {
			t.Errorf("%s: layer %q, want %q", c.name, got, c.want)
		}
		if got := d.Notes[0].Text; got != c.want {
			t.Errorf("%s: text %q, want %q", c.name, got, c.want)
		}
		told := len(d.Repairs) == 1 && d.Repairs[0].Code == "unknown-code-page" && strings.Contains(d.Repairs[0].Text, c.page)
		if want := c.page == "MARS_1"; told != want || len(d.Repairs) > 1 {
			t.Errorf("%s: repairs %+v", c.name, d.Repairs)
		}
	}
}

// TestPagesNamed holds that every code page a header can name is known.
func TestPagesNamed(t *testing.T) {
	for _, name := range []string{"ANSI_874", "ANSI_932", "ANSI_936", "ANSI_949", "ANSI_950",
		"ANSI_1250", "ANSI_1251", "ANSI_1252", "ANSI_1253", "ANSI_1254", "ANSI_1255", "ANSI_1256",
		"ANSI_1257", "ANSI_1258", "iso8859-1", "ISO8859-9", "ISO-8859-5", "ISO8859_7", "macintosh", "mac-roman", "big5", "gb2312", "ksc5601", "ascii", "UTF-8", "DOS437", "DOS850", "DOS852", "DOS855", "DOS866", "dos932"} {
		h := header{version: "AC1015", codePage: name}
		if h.encoding() == nil {
			t.Errorf("%s is not known", name)
		}
	}
}
