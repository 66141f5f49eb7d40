package cli

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"burrcast/cmd/internal/report"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

func TestMain(m *testing.M) {
	if os.Getenv(cacheVariable) == "" {
		os.Setenv(cacheVariable, "off") // no test leaves anything in the user's folders
	}
	testscript.Main(m, map[string]func(){
		"burrcast": func() {
			ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
			context.AfterFunc(ctx, stop)
			os.Exit(Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
	})
}

func TestScript(t *testing.T) {
	demoDir, err := filepath.Abs(demo)
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("DEMO", demoDir)
			e.Setenv("NO_COLOR", "")
			e.Setenv(cacheVariable, filepath.Join(e.WorkDir, ".cache"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":  cmdExits,
			"draw":   cmdDraw,
			"schema": cmdSchema,
			"narrow": cmdNarrow,
			"pack":   cmdPack,
		},
	})
}

// exits CODE ARG... runs burrcast and wants that exit code, or one of "0|1".
func cmdExits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: exits CODE ARG...")
	}
	err := ts.Exec("burrcast", args[1:]...)
	code := 0
	if err != nil {
		var ok bool
		if code, ok = exitCode(err); !ok {
			ts.Fatalf("burrcast: %v", err)
		}
	}
	if !slices.Contains(strings.Split(args[0], "|"), strconv.Itoa(code)) {
		ts.Fatalf("exit code %d, not %s", code, args[0])
	}
}

func exitCode(err error) (int, bool) {
	e, ok := err.(interface{ ExitCode() int })
	if !ok {
		return 0, false
	}
	return e.ExitCode(), true
}

// draw FILE SHAPE... writes a small drawing in mm. Shapes: rect=x,y,w,h
// circle=x,y,d line=x,y,x,y note=TEXT.
func cmdDraw(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: draw FILE SHAPE...")
	}
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	line := func(x0, y0, x1, y1 float64) {
		fmt.Fprintf(&b, "0\nLINE\n8\nCUT\n10\n%g\n20\n%g\n11\n%g\n21\n%g\n", x0, y0, x1, y1)
	}
	for _, shape := range args[1:] {
		kind, rest, _ := strings.Cut(shape, "=")
		if kind == "note" {
			fmt.Fprintf(&b, "0\nTEXT\n8\nNOTES\n10\n0\n20\n-10\n40\n5\n1\n%s\n", rest)
			continue
		}
		var v [4]float64
		for i, s := range strings.Split(rest, ",") {
			n, err := strconv.ParseFloat(s, 64)
			ts.Check(err)
			v[i] = n
		}
		switch kind {
		case "rect":
			x, y, w, h := v[0], v[1], v[2], v[3]
			line(x, y, x+w, y)
			line(x+w, y, x+w, y+h)
			line(x+w, y+h, x, y+h)
			line(x, y+h, x, y)
		case "circle":
			fmt.Fprintf(&b, "0\nCIRCLE\n8\nCUT\n10\n%g\n20\n%g\n40\n%g\n", v[0], v[1], v[2]/2)
		case "line":
			line(v[0], v[1], v[2], v[3])
		default:
			ts.Fatalf("no shape %q", kind)
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	path := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(path), 0o755))
	ts.Check(os.WriteFile(path, []byte(b.String()), 0o644))
}

// schema [lines] wants the last output to keep to the schema.
func cmdSchema(ts *testscript.TestScript, neg bool, args []string) {
	whole, each, err := compileSchema()
	ts.Check(err)
	out := ts.ReadFile("stdout")
	if len(args) == 0 {
		ts.Check(validate(whole, []byte(out)))
		return
	}
	for line := range strings.Lines(out) {
		ts.Check(validate(each, []byte(line)))
	}
}

// narrow wants every line of the last output to fit 100 columns and to hold no
// control characters.
func cmdNarrow(ts *testscript.TestScript, neg bool, args []string) {
	for line := range strings.Lines(ts.ReadFile("stdout")) {
		line = strings.TrimSuffix(line, "\n")
		if n := len([]rune(line)); n > 100 {
			ts.Fatalf("%d columns: %s", n, line)
		}
		if strings.ContainsFunc(line, func(r rune) bool { return r < ' ' }) {
			ts.Fatalf("control characters: %q", line)
		}
	}
}

func compileSchema() (whole, line *jsonschema.Schema, err error) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(report.SchemaJSON))
	if err != nil {
		return nil, nil, err
	}
	const id = "urn:burrcast:report:1"
	c := jsonschema.NewCompiler()
	if err := c.AddResource(id, doc); err != nil {
		return nil, nil, err
	}
	if whole, err = c.Compile(id); err != nil {
		return nil, nil, err
	}
	line, err = c.Compile(id + "#/$defs/line")
	return whole, line, err
}

func validate(s *jsonschema.Schema, text []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		return err
	}
	return s.Validate(v)
}
