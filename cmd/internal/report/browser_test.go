package report

import (
	"context"
	"fmt"
	"math"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// browser is a page in a real browser, with everything that it complains of or
// asks for.
type browser struct {
	t   *testing.T
	ctx context.Context

	mu    sync.Mutex
	heard []string // errors, console messages, requests beside the page itself
}

// witness finds a program from outside. Without it the test is skipped, or
// fails where all witnesses are wanted.
func witness(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("BURRCAST_WITNESS") == "all" {
		t.Fatalf("none of %v is installed", names)
	}
	t.Skipf("none of %v is installed", names)
	return ""
}

// openBrowser starts a browser of its own, with nothing of the user's.
func openBrowser(t *testing.T) *browser {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser")
	}
	program := witness(t, "chromium", "chromium-browser", "google-chrome", "chrome")
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-background-networking", true))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	b := &browser{t: t, ctx: ctx}
	if err := chromedp.Do(ctx, chromedp.Sleep(time.Millisecond)); err != nil { // starts it
		t.Fatal(err)
	}
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	call(b, network.Enable, network.EnableParams{})
	call(b, log.Enable, cdp.Empty{})
	call(b, runtime.Enable, cdp.Empty{})
	return b
}

func (b *browser) hear(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *log.EventEntryAdded:
		b.heard = append(b.heard, "log: "+e.Entry.Text)
	case *runtime.EventConsoleAPICalled:
		b.heard = append(b.heard, fmt.Sprintf("console: %v", e.Type))
	case *runtime.EventExceptionThrown:
		b.heard = append(b.heard, "exception: "+e.ExceptionDetails.Text)
	case *network.EventRequestWillBeSent:
		if !strings.HasSuffix(e.Request.URL, "/"+PageFile) {
			b.heard = append(b.heard, "request: "+e.Request.URL)
		}
	}
}

// load shows a page of a folder at a size, in "light" or "dark".
func (b *browser) load(page string, width, height int64, scheme string) {
	b.t.Helper()
	call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme},
		{Name: "prefers-reduced-motion", Value: "reduce"}}})
	call(b, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: width, Height: height, DeviceScaleFactor: 1, Mobile: width < 600})
	path := filepath.ToSlash(page)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	b.do(chromedp.Navigate((&url.URL{Scheme: "file", Path: path}).String()))
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, stop := context.WithTimeout(b.ctx, 30*time.Second)
	defer stop()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// look evaluates an expression in the page.
func look[T any](b *browser, expression string) T {
	b.t.Helper()
	ctx, stop := context.WithTimeout(b.ctx, 30*time.Second)
	defer stop()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// shown are the file names of the parts that are shown, in order.
func (b *browser) shown() string {
	return look[string](b, `[...document.querySelectorAll("#parts>details")].filter(p=>!p.hidden).map(p=>p.dataset.t).join(" ")`)
}

// picture keeps what the browser shows, if PICTURES names a folder: to be
// looked at by people.
func (b *browser) picture(name string) {
	dir := os.Getenv("PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644)
	}
	if err != nil {
		b.t.Error(err)
	}
}

// quiet fails if the page complained or asked for anything.
func (b *browser) quiet() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, s := range b.heard {
		b.t.Error(s)
	}
}

func TestPageInABrowser(t *testing.T) {
	b := openBrowser(t)
	dir := t.TempDir()
	r := fixture()
	r.Drawings[0].File = `parts/<script>document.title="broken"</script>.dxf`
	written(t, dir, r)
	page := filepath.Join(dir, PageFile)
	b.load(page, 1400, 900, "light")
	if got := look[string](b, `document.title`); got != "Deburring forecast" {
		t.Errorf("title %q", got)
	}

	// All parts, worst first; the worst is open.
	const all = "unread ask hand fixture brush line"
	if got := b.shown(); got != all {
		t.Errorf("shown at first: %s", got)
	}
	b.picture("light")

	// Filters.
	choose := func(id, value string) {
		look[bool](b, fmt.Sprintf(`(()=>{const s=document.getElementById(%q);s.value=%q;s.dispatchEvent(new Event("change"));return s.value===%[2]q})()`, id, value))
	}
	for _, c := range []struct{ id, value, want string }{
		{"treatment", "hand", "hand"},
		{"treatment", "unread", "unread"},
		{"rule", "tab-bend", "hand"},
		{"rule", "open-contour", "ask"},
		{"material", "S235", "hand line"},
		{"material", "?", "unread ask fixture brush"},
	} {
		choose(c.id, c.value)
		if got := b.shown(); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.id, c.value, got, c.want)
		}
		choose(c.id, "")
	}
	b.do(chromedp.Click(chromedp.CSS(`.count[data-t=brush]`)))
	if got := b.shown(); got != "brush" {
		t.Errorf("after a click on the count: %s", got)
	}
	b.do(chromedp.Click(chromedp.CSS(`.count[data-t=brush]`)))

	// Search, by keyboard; Escape shows everything again.
	b.do(chromedp.KeyEvent("/"), chromedp.KeyEvent("RAKE notch"), chromedp.Sleep(200*time.Millisecond))
	if got := b.shown(); got != "hand" {
		t.Errorf("found: %s", got)
	}
	if got := look[string](b, `document.getElementById("shown").textContent`); got != "1 of 6 shown" {
		t.Errorf("count: %s", got)
	}
	b.do(chromedp.KeyEvent("xyz"), chromedp.Sleep(200*time.Millisecond))
	if got := look[bool](b, `!document.getElementById("nothing").hidden`); !got || b.shown() != "" {
		t.Error("nothing matches, and the page does not say so")
	}
	b.do(chromedp.KeyEvent(kb.Escape))
	if got := b.shown(); got != all {
		t.Errorf("after Escape: %s", got)
	}

	// Order.
	choose("order", "name")
	if got := b.shown(); got != "line ask unread brush fixture hand" {
		t.Errorf("by name: %s", got)
	}
	choose("order", "places")
	if got := b.shown(); !strings.HasPrefix(got, "hand ask") {
		t.Errorf("by findings: %s", got)
	}
	choose("order", "worst")
	if got := b.shown(); got != all {
		t.Errorf("worst first again: %s", got)
	}

	// A link of the overview opens its part.
	b.do(chromedp.Click(chromedp.CSS(`.bars a`)), chromedp.Sleep(100*time.Millisecond))
	const rake = `document.querySelector("#parts>details[data-t=hand]")`
	if !look[bool](b, rake+`.open && `+rake+`.contains(document.activeElement)`) {
		t.Error("the link does not open the part")
	}

	// A click on a finding looks at its place, and its mark stands out.
	box := func() (v [4]float64) {
		s := look[string](b, rake+`.querySelector(".pic").getAttribute("viewBox")`)
		fmt.Sscan(s, &v[0], &v[1], &v[2], &v[3])
		return v
	}
	whole := box()
	size := look[float64](b, rake+`.querySelector(".mk circle,.mk path").getBoundingClientRect().width`)
	b.do(chromedp.Click(chromedp.CSS(`details[data-t=hand] .place[data-k="1.2"]`)))
	at := look[string](b, rake+`.querySelector(".place[data-k='1.2']").dataset.at`)
	var x, y float64
	fmt.Sscan(at, &x, &y)
	near := box()
	if near[2] >= whole[2]/3 || x < near[0] || x > near[0]+near[2] || y < near[1] || y > near[1]+near[3] {
		t.Errorf("looks at %v for a place at %s of %v", near, at, whole)
	}
	if got := look[string](b, `[...document.querySelectorAll(".mk.on")].map(m=>m.dataset.k).join()`); got != "1.2" {
		t.Errorf("marks on: %s", got)
	}
	if got := look[float64](b, rake+`.querySelector(".mk circle,.mk path").getBoundingClientRect().width`); math.Abs(got-size) > 0.35*size {
		t.Errorf("a mark of %.1f px is %.1f px wide from near", size, got)
	}
	b.picture("near")
	// The next by key, then the whole part again.
	b.do(chromedp.KeyEvent("n"))
	if got := look[string](b, `[...document.querySelectorAll(".mk.on")].map(m=>m.dataset.k).join()`); got == "1.2" || got == "" {
		t.Errorf("the next mark: %s", got)
	}
	b.do(chromedp.KeyEvent("+"), chromedp.KeyEvent("0"))
	if got := box(); got != whole {
		t.Errorf("the whole part is %v, not %v", got, whole)
	}
	// A click on a mark is a click on its finding.
	look[bool](b, rake+`.querySelector(".mk[data-k='1.1']").dispatchEvent(new MouseEvent("click",{bubbles:true}))`)
	if !look[bool](b, rake+`.querySelector(".place[data-k='1.1']").getAttribute("aria-current")==="true"`) {
		t.Error("a click on a mark does not find its finding")
	}
	b.do(chromedp.KeyEvent(kb.Escape))

	// From part to part by key.
	b.do(chromedp.KeyEvent("j"))
	if got := look[string](b, `document.activeElement.closest("details").dataset.t`); got != "fixture" {
		t.Errorf("after j: %s", got)
	}
	b.do(chromedp.KeyEvent("k"), chromedp.KeyEvent("k"), chromedp.KeyEvent(kb.Enter))
	if !look[bool](b, `document.querySelector("#parts>details[data-t=ask]").open`) {
		t.Error("Enter does not open a part")
	}

	// Light and dark, by the system and by hand.
	paper := func() string { return look[string](b, `getComputedStyle(document.body).backgroundColor`) }
	light := paper()
	b.do(chromedp.Click(chromedp.CSS("#theme")))
	dark := paper()
	if light == dark {
		t.Error("the switch changes nothing")
	}
	b.picture("dark")
	b.do(chromedp.Click(chromedp.CSS("#theme")))
	look[bool](b, `(()=>{try{localStorage.clear()}catch{}return true})()`)
	b.load(page, 1400, 900, "dark")
	if got := paper(); got != dark {
		t.Errorf("a dark system shows %s, not %s", got, dark)
	}

	// On a phone nothing runs out of the screen.
	b.load(page, 360, 740, "light")
	b.do(chromedp.Click(chromedp.CSS("#all")), chromedp.Sleep(100*time.Millisecond))
	if got := look[float64](b, `document.documentElement.scrollWidth`); got > 360 {
		t.Errorf("the page is %v px wide on a screen of 360", got)
	}
	b.picture("phone")

	// On paper: the controls are gone, the parts that are shown are open.
	b.load(page, 1400, 900, "dark")
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(pdf), "/Type /Page\n"); n < 2 || n > 12 {
		t.Errorf("%d pages on paper", n)
	}
	call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print", Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}})
	look[bool](b, `dispatchEvent(new Event("beforeprint"))`)
	if !look[bool](b, `[...document.querySelectorAll("#parts>details")].every(p=>p.open) && getComputedStyle(document.querySelector(".find")).display==="none" && getComputedStyle(document.querySelector(".sources")).display==="none"`) {
		t.Error("on paper parts are closed, or controls are there")
	}
	if got := paper(); got != "rgb(255, 255, 255)" {
		t.Errorf("on paper the ground is %s", got)
	}
	b.picture("print")
	b.quiet()
}

// Parts that wait as text are made when they are wanted, and a first view does
// not wait for them.
func TestPageOfManyPartsInABrowser(t *testing.T) {
	b := openBrowser(t)
	dir := t.TempDir()
	written(t, dir, many(2000))
	b.load(filepath.Join(dir, PageFile), 1400, 900, "light")
	if paint := look[float64](b, `new Promise(r=>requestAnimationFrame(()=>setTimeout(()=>r(performance.getEntriesByType("paint").find(e=>e.name==="first-contentful-paint").startTime),50)))`); paint > 3000 {
		t.Errorf("the first view takes %.0f ms", paint)
	}
	if got := look[int](b, `document.querySelectorAll(".later").length`); got != 1999 {
		t.Errorf("%d parts wait, not 1999", got)
	}
	b.do(chromedp.KeyEvent("/"), chromedp.KeyEvent("1234.dxf"), chromedp.Sleep(300*time.Millisecond))
	if got := b.shown(); got != "hand" {
		t.Errorf("found: %s", got)
	}
	b.do(chromedp.Click(chromedp.CSS(`#parts>details:not([hidden])>summary`)), chromedp.Sleep(100*time.Millisecond), chromedp.Click(chromedp.CSS(`#parts>details:not([hidden]) .place`)))
	if !look[bool](b, `document.querySelector("#parts>details:not([hidden]) .pic.near .mk.on")!==null`) {
		t.Error("a part made late cannot be looked at")
	}
	b.quiet()
}

// Without its script a page of many parts still says what each needs, and prints.
func TestPageWithoutScriptInABrowser(t *testing.T) {
	b := openBrowser(t)
	dir := t.TempDir()
	written(t, dir, many(atOnce+1))
	call(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	b.load(filepath.Join(dir, PageFile), 1400, 900, "light")
	if got := look[string](b, `document.querySelector("noscript").innerText`); !strings.Contains(got, "report.xlsx") {
		t.Errorf("it says %q", got)
	}
	if got := look[int](b, `[...document.querySelectorAll("#parts>details>summary")].filter(s=>s.textContent.includes("notch-reach")).length`); got < atOnce {
		t.Errorf("%d rows say what was found", got)
	}
	b.picture("noscript")
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(pdf), "/Type /Page\n"); n < 8 {
		t.Errorf("%d pages on paper for %d parts", n, atOnce+1)
	}
}

// call sends one command of the browser's protocol.
func call[P, R any](b *browser, command cdp.Command[P, R], params P) {
	b.t.Helper()
	if _, err := chromedp.Call(b.ctx, command, params); err != nil {
		b.t.Fatal(err)
	}
}
