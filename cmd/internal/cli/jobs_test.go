package cli

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"burrcast/rules"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// said is what a table says, a row a line, in the order of jobColumns.
func said(t *jobTable) string {
	var b strings.Builder
	for i := range t.rows {
		r := &t.rows[i]
		fmt.Fprintf(&b, "%d:", r.line)
		for _, name := range jobColumns {
			if v := r.values[name]; v != "" {
				fmt.Fprintf(&b, " %s=%s", name, v)
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

func TestReadJobs(t *testing.T) {
	shop := rules.DefaultShop()
	line := shop.LineName("")
	latin, err := charmap.Windows1252.NewEncoder().String("drawing;material\nTür.dxf;S235\n")
	if err != nil {
		t.Fatal(err)
	}
	wide, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String("drawing\tthickness\nTür.dxf\t1,5\n")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		text, want string
		latin      bool
	}{
		"all columns": {"drawing,quantity,material,thickness,process,edge,line\na.dxf,40,S235,2,laser-n2,-0.3," + line + "\n",
			"2: drawing=a.dxf quantity=40 material=S235 thickness=2 process=laser-n2 edge=-0.3 line=" + line + "\n", false},
		"any order, capitals, spaces": {" Material , DRAWING\nS235 , a.dxf \n", "2: drawing=a.dxf material=S235\n", false},
		"semicolons, decimal comma":   {"drawing;thickness\na.dxf;1,5\n", "2: drawing=a.dxf thickness=1.5\n", false},
		"tabs, decimal comma":         {"drawing\tthickness\na.dxf\t1,5\n", "2: drawing=a.dxf thickness=1.5\n", false},
		"quotes":                      {"drawing,thickness\n\"a, b.dxf\",\"1,5\"\n", "2: drawing=a, b.dxf thickness=1.5\n", false},
		"one column":                  {"drawing\na.dxf\n", "2: drawing=a.dxf\n", false},
		"byte order mark":             {"\ufeffdrawing,material\na.dxf,S235\n", "2: drawing=a.dxf material=S235\n", false},
		"returns":                     {"drawing,material\r\na.dxf,S235\r\n\r\nb.dxf,S355\r\n", "2: drawing=a.dxf material=S235\n4: drawing=b.dxf material=S355\n", false},
		"Windows-1252":                {latin, "2: drawing=Tür.dxf material=S235\n", true},
		"UTF-16":                      {wide, "2: drawing=Tür.dxf thickness=1.5\n", false},
		"empty columns at the end":    {"drawing,material,,\na.dxf,S235,,\n,,,\nb.dxf,,,\n", "2: drawing=a.dxf material=S235\n4: drawing=b.dxf\n", false},
		"a gauge":                     {"drawing,thickness\na.dxf,16 ga steel\n", "2: drawing=a.dxf thickness=16 ga steel\n", false},
		"burr-free":                   {"drawing,edge\na.dxf,burr-free\n", "2: drawing=a.dxf edge=burr-free\n", false},
		"no rows":                     {"drawing,material\n", "", false},
	} {
		table, err := readJobs("jobs.csv", []byte(c.text), shop)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(c.want, said(table)); diff != "" || table.latin != c.latin {
			t.Errorf("%s: latin %v (-want +got):\n%s", name, table.latin, diff)
		}
	}
}

func TestJobMistakes(t *testing.T) {
	shop := rules.DefaultShop()
	many := "drawing,quantity\n" + strings.Repeat("a.dxf,none\n", mistakesTold+5)
	for name, c := range map[string]struct{ text, want string }{
		"empty":             {"", "jobs.csv: the job table is empty"},
		"unknown column":    {"drawing,tickness\n", `jobs.csv:1: unknown column "tickness", did you mean "thickness"?`},
		"nothing near":      {"drawing,customer number\n", `jobs.csv:1: unknown column "customer number": the columns are drawing, quantity, material, thickness, process, edge, line`},
		"column twice":      {"drawing,Material,material\n", `jobs.csv:1: column "material" stands here twice`},
		"no drawing column": {"material,thickness\n", `jobs.csv:1: no column "drawing": the first line names the columns, and a row names its drawing`},
		"no drawing":        {"drawing,material\n,S235\n", "jobs.csv:2: the row names no drawing"},
		"material":          {"drawing,material\na.dxf,S235\nb.dxf,unobtainium\n", `jobs.csv:3: material: no material named "unobtainium"*`},
		"thickness":         {"drawing,thickness\na.dxf,thick\n", `jobs.csv:2: thickness: thickness "thick" is not a size*`},
		"process":           {"drawing,process\na.dxf,origami\n", `jobs.csv:2: process: no process named "origami"*`},
		"edge":              {"drawing,edge\na.dxf,sharpish\n", `jobs.csv:2: edge: *`},
		"line":              {"drawing,line\na.dxf,no-such\n", `jobs.csv:2: line: no line named "no-such"*`},
		"quantity":          {"drawing,quantity\na.dxf,0\n", `jobs.csv:2: quantity "0": not a number of pieces`},
		"half a piece":      {"drawing;quantity\na.dxf;1,5\n", `jobs.csv:2: quantity "1,5": not a number of pieces`},
		"decimal comma":     {"drawing,thickness\na.dxf,1,5\n", "jobs.csv:2: 3 cells under 2 columns (a comma inside a cell needs quotes round the cell)"},
		"a cell missing":    {"drawing,thickness,material\na.dxf,1\n", "jobs.csv:2: 2 cells under 3 columns"},
		"no name above":     {"drawing,\na.dxf,S235\n", `jobs.csv:2: "S235" stands under a column without a name`},
		"quote":             {"drawing,material\n\"a.dxf,S235\n", "jobs.csv:2: a quote stands inside a cell that has none round it, or is not closed"},
		"pattern":           {"drawing\na[.dxf\n", `jobs.csv:2: drawing "a[.dxf": syntax error in pattern`},
		"folder":            {"drawing\n/\n", `jobs.csv:2: drawing "/": this is a folder`},
		"not text":          {"PK\x03\x04\x00\x00", "jobs.csv: byte 5 is zero: this is no table in text (CSV)"},
		"two in a row":      {"drawing,material,process\na.dxf,unobtainium,origami\n", "jobs.csv:2: material: *\njobs.csv:2: process: *"},
		"many":              {many, strings.Repeat("jobs.csv:*\n", mistakesTold) + "jobs.csv: and 5 more mistakes"},
	} {
		_, err := readJobs("jobs.csv", []byte(c.text), shop)
		if err == nil {
			t.Errorf("%s: accepted", name)
			continue
		}
		got, want := strings.Split(err.Error(), "\n"), strings.Split(c.want, "\n")
		ok := len(got) == len(want) || name == "two in a row" && len(got) == 2
		for i := range got {
			if i < len(want) {
				head, open := strings.CutSuffix(want[i], "*")
				ok = ok && (got[i] == want[i] || open && strings.HasPrefix(got[i], head))
			}
		}
		if !ok {
			t.Errorf("%s:\n%v\nnot\n%s", name, err, c.want)
		}
	}
}

func TestMatchJobs(t *testing.T) {
	abs, err := filepath.Abs("in/deep/lid.dxf")
	if err != nil {
		t.Fatal(err)
	}
	abs = filepath.ToSlash(abs)
	for _, c := range []struct {
		rows string // one a word
		file string
		want string // of the row, or the error
	}{
		{"lid.dxf", "lid.dxf", "lid.dxf"},
		{"lid.dxf", "in/deep/lid.dxf", "lid.dxf"},
		{"LID.DXF", "in/Lid.dxf", "LID.DXF"},
		{"lid", "in/lid.dxf", "lid"},
		{"lid", "in/lid.dxf.gz", "lid"},
		{"lid.dxf", "in/lid.dxf.gz", "lid.dxf"},
		{"lid", "lid.cut", ""},
		{"lid", "in/slid.dxf", ""},
		{"deep/lid.dxf", "in/deep/lid.dxf", "deep/lid.dxf"},
		{`in\deep\lid.dxf`, "in/deep/lid.dxf", `in\deep\lid.dxf`},
		{"./in/lid.dxf", "in/lid.dxf", "./in/lid.dxf"},
		{"p/lid.dxf", "deep/lid.dxf", ""},
		{"order.zip/lid.dxf", "in/order.zip/lid.dxf", "order.zip/lid.dxf"},
		{"gru\u0308n.dxf", "gr\u00fcn.dxf", "gru\u0308n.dxf"},
		{abs, "in/deep/lid.dxf", abs},
		{"/in/deep/lid.dxf", "in/deep/lid.dxf", ""},
		{"*.dxf", "in/lid.dxf", "*.dxf"},
		{"l?d*", "in/lid-2.dxf", "l?d*"},
		{"L[ij]d.dxf", "lid.dxf", "L[ij]d.dxf"},
		{"in/*", "in/lid.dxf", "in/*"},
		{"in/*", "in/deep/lid.dxf", ""},
		{"in/*/lid*.dxf", "in/deep/lid-b.dxf", "in/*/lid*.dxf"},
		{"[1].dxf", "[1].dxf", "[1].dxf"}, // a name, letter by letter
		{"[1].dxf", "1.dxf", "[1].dxf"},
		// The most exact wins.
		{"*.dxf lid.dxf", "in/lid.dxf", "lid.dxf"},
		{"lid.dxf in/lid.dxf *", "in/lid.dxf", "in/lid.dxf"},
		{"[1].dxf 1.dxf", "1.dxf", "1.dxf"},
		// Two that are as good are told.
		{"lid.dxf LID.dxf", "in/lid.dxf", `jobs.csv:2: "lid.dxf" and line 3, "LID.dxf", both name in/lid.dxf`},
		{"lid lid.dxf", "lid.dxf", `jobs.csv:2: "lid" and line 3, "lid.dxf", both name lid.dxf`},
		{"*.dxf l*", "lid.dxf", `jobs.csv:2: "*.dxf" and line 3, "l*", both name lid.dxf`},
		{"*.dxf in/*", "lid.dxf", "*.dxf"},
	} {
		table, err := readJobs("jobs.csv", []byte("drawing\n"+strings.ReplaceAll(c.rows, " ", "\n")+"\n"), rules.DefaultShop())
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		row, err := table.match(source{path: filepath.FromSlash(c.file)})
		switch {
		case err != nil:
			got = err.Error()
		case row >= 0:
			got = table.rows[row].drawing
		}
		if got != c.want {
			t.Errorf("%s among %s: %q, not %q", c.file, c.rows, got, c.want)
		}
	}
}

// The rows for many drawings are found without looking at each of them.
func TestMatchManyJobs(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a while")
	}
	const n = 20_000
	var b strings.Builder
	b.WriteString("drawing,quantity\n")
	sources := make([]source, 0, n)
	for i := range n {
		fmt.Fprintf(&b, "part-%05d*.dxf,%d\n", i, i+1)
		sources = append(sources, source{path: fmt.Sprintf("in/Part-%05d-b.dxf", i)})
	}
	table, err := readJobs("jobs.csv", []byte(b.String()), rules.DefaultShop())
	if err != nil {
		t.Fatal(err)
	}
	idle, without, err := table.assign(sources)
	if err != nil || without > 0 || len(idle) > 0 {
		t.Fatalf("%d rows without a drawing, %d drawings without a row, %v", len(idle), without, err)
	}
	for i, s := range sources {
		if table.rows[s.row].pieces != i+1 {
			t.Fatalf("drawing %d has row %d", i, s.row)
		}
	}
}
