package cli

import (
	"fmt"
	"io"
	"runtime"
	"strings"

	"burrcast/rules"
)

// explain prints one rule in full, or every rule in a line.
func (e *env) explain(args []string) int {
	if asksHelp(args) {
		return e.help([]string{"explain"})
	}
	switch len(args) {
	case 0:
		e.listRules()
		return exitClean
	case 1:
	default:
		return e.fail(fmt.Errorf("explain takes one rule, got %d", len(args)))
	}
	r, ok := rules.Lookup(args[0])
	if !ok {
		var all []string
		for _, r := range rules.Rules() {
			all = append(all, r.Name)
		}
		hint := "\"burrcast explain\" lists the rules"
		if near := nearest(args[0], all); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		return e.fail(fmt.Errorf("no rule %q", args[0]), hint)
	}
	fmt.Fprintf(e.stdout, "%s: %s\n", r.Name, r.Title)
	for _, row := range [][2]string{
		{"group", r.Group},
		{"measured", r.Measured},
		{"formula", r.Formula},
		{"default", limitText(r)},
		{"applies", r.Applies},
		{"treatment", string(treatment(r.Treatment))},
		{"why", r.Why},
		{"do", r.Do},
		{"source", r.Source},
		{"provenance", r.Provenance},
		{"example", r.Example},
	} {
		if row[1] != "" {
			e.row(row[0], row[1])
		}
	}
	return exitClean
}

func limitText(r rules.Rule) string {
	if r.Unit == "" && r.Default == 0 {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("%g %s", r.Default, r.Unit))
}

func (e *env) listRules() {
	width := 0
	for _, r := range rules.Rules() {
		width = max(width, len(r.Name))
	}
	group := ""
	for _, r := range rules.Rules() {
		if r.Group != group {
			if group != "" {
				fmt.Fprintln(e.stdout)
			}
			group = r.Group
			fmt.Fprintln(e.stdout, group)
		}
		e.item("  "+pad(r.Name, width)+"  "+pad(string(treatment(r.Treatment)), len("fixture"))+"  ", r.Title)
	}
}

// shop prints the built-in shop file.
func (e *env) shop(args []string) int {
	if asksHelp(args) {
		return e.help([]string{"shop"})
	}
	if err := noArguments("shop", args); err != nil {
		return e.fail(err)
	}
	e.stdout.Write(rules.ShopFile()) // an error stays in the buffer until it is flushed
	return exitClean
}

// version prints what the build knows of itself.
func (e *env) version(args []string) int {
	if asksHelp(args) {
		return e.help([]string{"version"})
	}
	if err := noArguments("version", args); err != nil {
		return e.fail(err)
	}
	fmt.Fprintf(e.stdout, "%s %s %s %s/%s\n", program, version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
	fmt.Fprintln(e.stdout, keptWhere())
	return exitClean
}

// help prints the verbs, or one of them.
func (e *env) help(args []string) int {
	switch len(args) {
	case 0:
		e.usage(e.stdout)
		return exitClean
	case 1:
	default:
		return e.fail(fmt.Errorf("help takes one verb, got %d", len(args)))
	}
	for _, v := range verbs() {
		if v.name != args[0] {
			continue
		}
		fmt.Fprintln(e.stdout, strings.TrimSpace("usage: "+program+" "+v.name+" "+v.args))
		fmt.Fprintln(e.stdout)
		fmt.Fprintln(e.stdout, sentence(v.about))
		if v.intro != "" {
			fmt.Fprint(e.stdout, "\n"+v.intro)
		}
		if v.flags != nil {
			e.flagsHelp(v)
		}
		return exitClean
	}
	return e.fail(fmt.Errorf("no verb %q", args[0]), seeHelp)
}

// checkIntro says what the flags of check do not.
const checkIntro = `A path is a drawing, a folder with drawings in it, a pattern with * and ?
(matched ignoring case), or - for a drawing on standard input.
"` + program + ` PATH..." without a verb means check.

What a flag does not say is looked for in the job table (--jobs), then in the
drawing's notes, then in the file's name; the report shows where each input came
from.

What a drawing comes to is kept for the next run, which does only what changed;
"` + program + ` version" says where.
`

// mergeIntro says what the flags of merge do not.
const mergeIntro = `A file is what a run wrote with --format json or jsonl, or report.json of its
--report folder, packed with gzip or not, or - for standard input. The order of
the files changes nothing. Shards of one job come out as the whole job would.

Results have to be made by one version of the program with one shop file and
the same flags. A drawing that is in several of them is counted once, and has to
say the same in each.
`

func (e *env) flagsHelp(v verb) {
	fmt.Fprint(e.stdout, "\nflags:\n")
	for _, o := range v.options() {
		head := "    --" + o.name
		if o.short != "" {
			head = "-" + o.short + ", --" + o.name
		}
		about := o.about
		switch {
		case o.fixed != "":
			about += " (default " + o.fixed + ")"
		case o.name == "workers":
			about += fmt.Sprintf(" (default %d)", defaultWorkers())
		}
		e.item("  "+pad(strings.TrimRight(head+" "+o.value, " "), 26)+"  ", about)
	}
	fmt.Fprint(e.stdout, "\nexit codes:\n")
	for _, c := range exitCodes {
		fmt.Fprintf(e.stdout, "  %d  %s\n", c.code, c.means)
	}
}

func (e *env) usage(w io.Writer) {
	fmt.Fprintf(w, "%s forecasts burrs: it reads flat-pattern DXF drawings of sheet-metal parts and says for\n"+
		"each part what a belt-and-brush deburring line leaves, cannot reach or cannot hold.\n\nusage:\n", program)
	for _, v := range verbs() {
		fmt.Fprintf(w, "  %s %s %s\n", program, pad(strings.TrimSpace(v.name+" "+v.args), 17), v.about)
	}
	fmt.Fprintf(w, "\n%q lists the flags.\n", program+" help check")
}

func asksHelp(args []string) bool {
	return len(args) == 1 && (args[0] == "-h" || args[0] == "--help")
}

func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }

func pad(s string, width int) string {
	if n := width - len([]rune(s)); n > 0 {
		return s + strings.Repeat(" ", n)
	}
	return s
}

// row prints a named text, wrapped beside its name.
func (e *env) row(name, text string) { e.item("  "+pad(name, 11), text) }

// item prints a text after a head, wrapped to 100 columns and set in as far.
func (e *env) item(head, text string) {
	const columns = 100
	line := head
	indent := strings.Repeat(" ", len([]rune(head)))
	empty := true
	for word := range strings.FieldsSeq(text) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > columns {
			fmt.Fprintln(e.stdout, line)
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	fmt.Fprintln(e.stdout, strings.TrimRight(line, " "))
}
