package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"burrcast/geom/dxf"

	"github.com/spf13/pflag"
)

// Exit codes.
const (
	exitClean    = 0
	exitFound    = 1
	exitCannot   = 2
	exitUnread   = 3
	program      = "burrcast"
	seeHelp      = "\"burrcast help\" lists the verbs"
	seeCheckHelp = "\"burrcast help check\" lists the flags"
)

// env is what a verb runs in.
type env struct {
	ctx    context.Context
	stdin  io.Reader
	stdout io.Writer
	stderr io.Writer
	color  bool // stdout is a terminal that wants colour
	live   bool // stderr is a terminal

	open func(page string) error // shows a page; nil for the system's own way
	drop bool                    // started for some files and alone in its window
}

// verb is one word of the command.
type verb struct {
	name  string
	args  string
	about string
	run   func(*env, []string) int
	flags func() *pflag.FlagSet // nil for a verb without flags of its own
	intro string                // help between usage and flags
}

// verbs in the order of help. It is a function, since help lists them.
func verbs() []verb {
	return []verb{
		{"check", "PATH...", "read drawings and folders and say what each part needs", (*env).check, new(checkFlags).flagSet, checkIntro},
		{"explain", "[RULE]", "print one rule with its limit and its source, or list all", (*env).explain, nil, ""},
		{"shop", "", "print a commented shop file to start from (TOML)", (*env).shop, nil, ""},
		{"learn", "SAMPLES...", "compare the forecast with inspected samples and fit limits to them", (*env).learn, new(learnFlags).flagSet, learnIntro},
		{"merge", "FILE...", "join results of several runs into one report", (*env).merge, new(mergeFlags).flagSet, mergeIntro},
		{"completion", "SHELL", "print what makes a shell complete verbs, flags and their words", (*env).completion, nil, completionIntro},
		{"man", "", "print the manual page", (*env).man, nil, manIntro},
		{"version", "", "print the version", (*env).version, nil, ""},
		{"help", "[VERB]", "print help", (*env).help, nil, ""},
	}
}

// Run runs the command and returns its exit code. Args are those after the
// program's name. Reports go to stdout, everything else to stderr.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	e := &env{ctx: ctx, stdin: stdin, stderr: stderr, color: wantsColor(stdout), live: isTerminal(stderr)}
	out := bufio.NewWriterSize(stdout, 1<<16)
	e.stdout = out
	e.drop = ownsConsole()
	code := e.dispatch(args)
	if err := out.Flush(); err != nil {
		return e.fail(fmt.Errorf("cannot write the output: %w", err))
	}
	if e.drop && code == exitCannot {
		e.wait(out)
	}
	return code
}

// wait keeps a window open that would take the message with it.
func (e *env) wait(out *bufio.Writer) {
	out.Flush()
	fmt.Fprint(e.stderr, "press Enter to close this window ")
	if e.stdin != nil {
		bufio.NewReader(e.stdin).ReadString('\n')
	}
}

func (e *env) dispatch(args []string) int {
	if len(args) == 0 {
		e.usage(e.stderr)
		return exitCannot
	}
	first := args[0]
	for _, v := range verbs() {
		if v.name == first {
			return v.run(e, args[1:])
		}
	}
	switch {
	case first == "-h" || first == "--help":
		return e.help(args[1:])
	case first == "--version":
		return e.version(args[1:])
	case looksLikePath(first) || strings.HasPrefix(first, "-"):
		if e.drop && !strings.HasPrefix(first, "-") {
			// Drawings dropped on the program: whoever did it wants to see a page.
			args = append([]string{"--open"}, args...)
		}
		return e.check(args)
	}
	names := make([]string, 0, len(verbs()))
	for _, v := range verbs() {
		names = append(names, v.name)
	}
	hint := seeHelp
	if near := nearest(first, names); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	return e.fail(fmt.Errorf("no verb and no drawing %q", first), hint)
}

// looksLikePath tells a drawing or folder from a mistyped verb.
func looksLikePath(s string) bool {
	if strings.ContainsAny(s, `/\*?[`) || isDrawing(s) || dxf.IsArchive(s) || s == stdinPath {
		return true
	}
	_, err := os.Lstat(s)
	return err == nil
}

// fail reports why the command cannot run, with hints what to do.
func (e *env) fail(err error, hints ...string) int {
	e.complain(err)
	for _, h := range hints {
		e.say("hint", h)
	}
	return exitCannot
}

// complain reports an error; joined ones a line each.
func (e *env) complain(err error) {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		for _, one := range many.Unwrap() {
			e.complain(one)
		}
		return
	}
	e.say("error", err.Error())
}

func (e *env) say(kind, text string) {
	fmt.Fprintf(e.stderr, "%s: %s: %s\n", program, kind, printable(text))
}

// printable keeps a message on its line and off the terminal's controls.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return '?'
		}
		return r
	}, s)
}

// noArguments refuses what a verb has no use for.
func noArguments(name string, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("%s takes no arguments, got %q", name, args[0])
	}
	return nil
}

// nearest is the name that a mistyped word most likely meant, or "".
func nearest(word string, names []string) string {
	best, at := len(word)/3+2, ""
	for _, n := range names {
		if d := edits(word, n); d < best {
			best, at = d, n
		}
	}
	return at
}

// edits counts the letters to insert, drop or change, two rows at a time.
func edits(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// interrupted says whether the run was stopped from outside.
func interrupted(ctx context.Context) bool { return errors.Is(ctx.Err(), context.Canceled) }
