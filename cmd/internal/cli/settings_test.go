package cli

import (
	"testing"

	"burrcast/rules"

	"github.com/spf13/pflag"
)

// judging are the flags that decide how drawings are read and judged. Results
// that differ in one of them do not belong together.
var judging = map[string]bool{
	"material": true, "thickness": true, "process": true, "edge": true, "line": true, "quantity": true, "units": true,
	"join": true, "curve-tolerance": true, "keep-chords": true, "chords": true, "keep-border": true, "keep-rings": true,
	"jobs": true,
}

// Every flag either decides or is set aside for a reason.
func TestFlagsDecideOrNot(t *testing.T) {
	new(checkFlags).flagSet().VisitAll(func(f *pflag.Flag) {
		if judging[f.Name] == (asides[f.Name] && !fileFlags[f.Name]) {
			t.Errorf("--%s: judging %v, set aside %v", f.Name, judging[f.Name], asides[f.Name])
		}
	})
}

func TestRunOf(t *testing.T) {
	t.Chdir(t.TempDir())
	table := write(t, "jobs.csv", "drawing,quantity\na.dxf,3\n")
	run := func(args ...string) map[string]string {
		t.Helper()
		var f checkFlags
		if _, err := f.parse(append(args, "a.dxf")); err != nil {
			t.Fatal(err)
		}
		r, err := runOf(&f, rules.DefaultShop())
		if err != nil {
			t.Fatal(err)
		}
		if r.Rates == nil || r.Program == "" || r.Split != nil {
			t.Errorf("%+v", r)
		}
		return r.Flags
	}
	if got := run("--material", "S235", "--quiet", "--format", "json", "--workers", "1"); len(got) != 1 || got["material"] != "S235" {
		t.Errorf("%v", got)
	}
	before := run("--jobs", table)["jobs"]
	write(t, "other.csv", "drawing,quantity\na.dxf,3\n")
	if got := run("--jobs", "other.csv")["jobs"]; got != before {
		t.Errorf("an equal table of another name: %s, not %s", got, before)
	}
	write(t, "jobs.csv", "drawing,quantity\na.dxf,4\n")
	if got := run("--jobs", table)["jobs"]; got == before {
		t.Error("another table of the same name counts as the same")
	}
}

// The print of a shop file is of what it says, not of how it says it.
func TestShopPrint(t *testing.T) {
	print := func(text string) string {
		t.Helper()
		shop, err := rules.LoadShop("own.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		p, err := shopPrint(shop)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	built, err := shopPrint(rules.DefaultShop())
	if err != nil {
		t.Fatal(err)
	}
	if print("") != built || print("# nothing\n") != built {
		t.Error("a file that changes nothing has a print of its own")
	}
	if a, b := print("[limit]\nhole-reach = 3.0\n"), print("# said otherwise\nlimit.hole-reach = 3\n"); a != b || a == built {
		t.Errorf("%s and %s, built in %s", a, b, built)
	}
	if print("[rate]\nline-hour = [61, 90]\n") == built {
		t.Error("another rate has the same print")
	}
}
