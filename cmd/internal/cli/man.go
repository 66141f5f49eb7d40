package cli

import (
	"fmt"
	"io"
	"runtime/debug"
	"strings"
)

// man prints the manual page, for "man -l" and for packages.
func (e *env) man(args []string) int {
	if asksHelp(args) {
		return e.help([]string{"man"})
	}
	if err := noArguments("man", args); err != nil {
		return e.fail(err)
	}
	manPage(e.stdout)
	return exitClean
}

// manIntro says how to read it.
const manIntro = `  burrcast man | man -l -
`

// manDate stands in the page of a build that does not know its own date.
const manDate = "2026-11-25"

// roff escapes a text: hyphens that are typed as such, and what would start a
// request.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`).Replace(s)
	if strings.HasPrefix(s, ".") {
		s = `\&` + s
	}
	return s
}

// manPage writes the page in the man macros, which every formatter knows.
func manPage(w io.Writer) {
	date, name := manDate, program
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.time" && len(s.Value) >= len(manDate) {
				date = s.Value[:len(manDate)]
			}
		}
		name += " " + info.Main.Version
	}
	p := func(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }
	p(`.TH %s 1 %s "%s" "User Commands"`, strings.ToUpper(program), date, roff(name))
	p(".SH NAME\n%s \\- forecast where sheet\\-metal parts keep burrs after a deburring line", program)
	p(".SH SYNOPSIS")
	for i, v := range verbs() {
		if i > 0 {
			p(".br")
		}
		p(".B %s %s", program, v.name)
		flags := ""
		if v.flags != nil {
			flags = "[FLAG]... "
		}
		if more := flags + v.args; more != "" {
			p(".I %s", roff(more))
		}
	}
	p(".SH DESCRIPTION\n%s", filled(manDescription))
	p(".SH VERBS")
	for _, v := range verbs() {
		p(".SS %s", roff(strings.TrimSpace(v.name+" "+v.args)))
		p("%s", filled(sentence(v.about)))
		manText(w, v.intro)
		for _, o := range v.options() {
			head := `\fB\-\-` + roff(o.name) + `\fR`
			if o.short != "" {
				head = `\fB\-` + roff(o.short) + `\fR, ` + head
			}
			if o.value != "" {
				head += ` \fI` + roff(o.value) + `\fR`
			}
			about := o.about
			if o.fixed != "" {
				about += " (default " + o.fixed + ")"
			}
			p(".TP\n%s\n%s", head, filled(about))
		}
	}
	p(".SH EXIT STATUS")
	for _, c := range exitCodes {
		p(".TP\n.B %d\n%s", c.code, filled(c.means))
	}
	p(".SH ENVIRONMENT")
	for _, v := range environment {
		p(".TP\n.B %s\n%s", roff(v.name), filled(v.means))
	}
	p(".SH EXAMPLES")
	for i, x := range examples {
		if i > 0 {
			p(".PP")
		}
		p("%s\n.PP\n.RS\n.nf\n%s\n.fi\n.RE", filled(x.does), roff(x.command))
	}
	p(".SH NOTES")
	p("%s", filled("Local codes, the machine's own manual and qualified people come first; what the program says are starting points, not a risk assessment."))
}

// manText writes paragraphs; lines set in stay as they are.
func manText(w io.Writer, text string) {
	set := false
	var words []string
	flush := func() {
		if len(words) > 0 {
			fmt.Fprintf(w, ".PP\n%s\n", filled(strings.Join(words, " ")))
		}
		words = nil
	}
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		in := strings.HasPrefix(line, "  ")
		if set && !in {
			fmt.Fprintln(w, ".fi\n.RE")
			set = false
		}
		switch {
		case line == "":
			flush()
		case !in:
			words = append(words, line)
		default:
			flush()
			if !set {
				fmt.Fprintln(w, ".PP\n.RS\n.nf")
				set = true
			}
			fmt.Fprintln(w, roff(strings.TrimPrefix(line, "  ")))
		}
	}
	flush()
	if set {
		fmt.Fprintln(w, ".fi\n.RE")
	}
}

// filled is a text escaped, in lines that an editor shows whole.
func filled(text string) string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		word = strings.TrimPrefix(roff(word), `\&`)
		if line != "" && len(line)+1+len(word) > 76 {
			lines = append(lines, line)
			line = ""
		}
		switch {
		case line != "":
			line += " "
		case strings.HasPrefix(word, "."):
			line = `\&`
		}
		line += word
	}
	return strings.Join(append(lines, line), "\n")
}

// manDescription says what the program is for.
const manDescription = `burrcast reads flat-pattern DXF drawings of sheet-metal parts and says, part by part, where cutting will leave burr, dross
or oxide, what a belt-and-brush deburring line will not reach or cannot hold, what goes to the bench, and what that takes in
seconds and money. Every limit says where it comes from, every measure where it was taken, and what nobody told the program
it asks instead of guessing.
`

// exitCodes are the same in every format.
var exitCodes = []struct {
	code  int
	means string
}{
	{exitClean, "nothing at or above --fail-on"},
	{exitFound, "a finding at or above it"},
	{exitCannot, "could not run: usage, shop file, output; or interrupted"},
	{exitUnread, "results written, but at least one drawing could not be measured"},
}

// environment lists the variables that the program looks at.
var environment = []struct{ name, means string }{
	{cacheVariable, "folder in which results are kept for the next run, or off"},
	{limitVariable, "how much they may take, such as 500MB (default " + defaultLimit + ")"},
	{"NO_COLOR", "no colour on the terminal, if it is set"},
}

var examples = []struct{ does, command string }{
	{"Look at a folder of drawings, worst part first:", "burrcast check drawings"},
	{"Write a page, a workbook and marked drawings, with everything said that a drawing may not say:",
		"burrcast check --material S235 --thickness 3 --process laser-n2 \\\n    --edge safe-to-handle --report out drawings"},
	{"The second of four machines, and then the whole from all four:",
		"burrcast check --shard 2/4 --format jsonl drawings > 2.jsonl\nburrcast merge --report out *.jsonl"},
}
