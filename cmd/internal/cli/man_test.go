package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"strings"
	"testing"
)

// manual is the page in a file.
func manual(t *testing.T) string {
	t.Helper()
	code, out, errs := burrcast(t, "man")
	if code != exitClean || errs != "" {
		t.Fatalf("exit code %d, %s", code, errs)
	}
	return write(t, filepath.Join(t.TempDir(), "burrcast.1"), out)
}

// formatted is the page as a formatter shows it, without overstriking and with
// single blanks.
func formatted(t *testing.T, name string, args ...string) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), tool(t, name), args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	cmd.Env = append(os.Environ(), "GROFF_NO_SGR=1", "MANWIDTH=120")
	out, err := cmd.Output()
	if err != nil || stderr.Len() > 0 {
		t.Errorf("%s: %v\n%s", name, err, &stderr)
	}
	text := regexp.MustCompile(`.\x08|\x1b\[[0-9;]*m`).ReplaceAllString(string(out), "")
	text = regexp.MustCompile(`[‐-]\n\s+`).ReplaceAllString(text, "")
	return strings.Join(strings.Fields(text), " ")
}

// checkManual wants every verb, flag, exit code and variable in the page.
func checkManual(t *testing.T, text string) {
	t.Helper()
	squeezed := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	for _, v := range verbs() {
		if !strings.Contains(text, sentence(v.about)) {
			t.Errorf("nothing on %s", v.name)
		}
		for _, o := range v.options() {
			head := "--" + o.name
			if o.value != "" {
				head += " " + o.value
			}
			if !strings.Contains(text, head+" "+squeezed(o.about)) {
				t.Errorf("%s: no %q %q", v.name, head, o.about)
			}
		}
	}
	for _, c := range exitCodes {
		if !strings.Contains(text, squeezed(c.means)) {
			t.Errorf("nothing on exit code %d", c.code)
		}
	}
	for _, e := range environment {
		if !strings.Contains(text, e.name+" "+squeezed(e.means)) {
			t.Errorf("nothing on %s", e.name)
		}
	}
	for _, x := range examples {
		if !strings.Contains(text, squeezed(x.command)) {
			t.Errorf("no example %q", x.command)
		}
	}
}

// Two formatters of other make show the page without a warning, whole.
func TestManualFormatted(t *testing.T) {
	page := manual(t)
	t.Run("groff", func(t *testing.T) {
		checkManual(t, formatted(t, "groff", "-man", "-ww", "-Tutf8", "-P-cbou", "-rLL=120n", "-rHY=0", page))
	})
	t.Run("mandoc", func(t *testing.T) {
		checkManual(t, formatted(t, "mandoc", "-Tutf8", "-Owidth=120", page))
		if out, err := exec.CommandContext(t.Context(), tool(t, "mandoc"), "-Tlint", page).CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%v\n%s", err, out)
		}
	})
	t.Run("man", func(t *testing.T) {
		if text := formatted(t, "man", "-l", page); !strings.Contains(text, "BURRCAST(1)") {
			t.Errorf("not shown: %.300s", text)
		}
	})
}

func TestRoff(t *testing.T) {
	for in, want := range map[string]string{
		"--join": `\-\-join`, `a\b`: `a\eb`, ".SH": `\&.SH`, "it's": `it\(aqs`, "~/x^`": `\(ti/x\(ha\(ga`,
	} {
		if got := roff(in); got != want {
			t.Errorf("%q becomes %q", in, got)
		}
	}
	if got := filled(strings.Repeat("word ", 30) + ".dot"); strings.Contains(got, "\n.") {
		t.Errorf("a line starts with a dot: %q", got)
	}
}

func TestVersion(t *testing.T) {
	info := &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}
	if got := versionOf(info); got != "v1.2.3" {
		t.Error(got)
	}
	info.Settings = []debug.BuildSetting{{Key: "vcs.modified", Value: "true"}, {Key: "vcs.revision", Value: "0123456789abcdef"}}
	if got := versionOf(info); got != "v1.2.3 revision 0123456789ab with changes" {
		t.Error(got)
	}
	if code, out, _ := burrcast(t, "version"); code != exitClean || !regexp.MustCompile(`^burrcast \S.* go1\.\S+ \w+/\w+\nresults .*kept.*\n$`).MatchString(out) {
		t.Errorf("%d %q", code, out)
	}
}
