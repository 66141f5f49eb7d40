package samples

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// ask runs a script in R and returns the numbers that it prints, by name. Where
// R or a package is missing the test is skipped, or fails where all witnesses
// are wanted.
func ask(t *testing.T, library, script string) map[string][]float64 {
	t.Helper()
	missing := func(what string) {
		t.Helper()
		if os.Getenv("BURRCAST_WITNESS") == "all" {
			t.Fatalf("%s is missing", what)
		}
		t.Skipf("%s is not installed", what)
	}
	r, err := exec.LookPath("Rscript")
	if err != nil {
		missing("R")
	}
	if library != "" && exec.Command(r, "-e", "library("+library+")").Run() != nil {
		missing("R's package " + library)
	}
	cmd := exec.Command(r, "--vanilla", "-")
	cmd.Stdin = strings.NewReader("say <- function(name, v) cat(name, format(as.numeric(v), digits=15), '\\n')\n" + script)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("R: %v\n%s", err, &stderr)
	}
	answers := map[string][]float64{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		if len(words) < 2 {
			continue
		}
		for _, w := range words[1:] {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil {
				t.Fatalf("R says %q", line)
			}
			answers[words[0]] = append(answers[words[0]], v)
		}
	}
	return answers
}

// vector writes numbers as R does.
func vector(list []float64) string {
	words := make([]string, len(list))
	for i, v := range list {
		words[i] = strconv.FormatFloat(v, 'g', 17, 64)
	}
	return "c(" + strings.Join(words, ",") + ")"
}

func columns(trials []Trial) (x, n, k []float64) {
	for _, t := range trials {
		x, n, k = append(x, t.X), append(n, t.N), append(k, t.Clean)
	}
	return x, n, k
}

// witnessSets are the beetles, and simulated shops.
func witnessSets() [][]Trial {
	rng := rand.New(rand.NewPCG(8, 8))
	sets := [][]Trial{beetles}
	for range 6 {
		sets = append(sets, simulate(rng, shopOf{1, 6}, 40))
	}
	return sets
}

// R's glm fits the same curves.
func TestRFitsTheSameCurve(t *testing.T) {
	var script strings.Builder
	sets := witnessSets()
	for i, s := range sets {
		x, n, k := columns(s)
		fmt.Fprintf(&script, "x <- %s; n <- %s; k <- %s\nm <- glm(cbind(k, n-k) ~ x, family=binomial, control=list(epsilon=1e-14))\n", vector(x), vector(n), vector(k))
		fmt.Fprintf(&script, "say('coef%d', coef(m)); say('se%[1]d', sqrt(diag(vcov(m)))); say('dev%[1]d', deviance(m))\n", i)
	}
	got := ask(t, "", script.String())
	for i, s := range sets {
		c, err := FitCurve(s, false)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, fmt.Sprint("coef", i), got, c.A, c.B)
		compare(t, fmt.Sprint("se", i), got, math.Sqrt(c.Cov[0][0]), math.Sqrt(c.Cov[1][1]))
		compare(t, fmt.Sprint("dev", i), got, deviance(s, c))
	}
}

// R's brglm2 with the adjusted scores of mean bias reduction, which for the
// logistic curve is Firth's penalty, fits the same curves, separated samples
// among them.
func TestRFitsFirthsCurve(t *testing.T) {
	var script strings.Builder
	script.WriteString("library(brglm2)\n")
	sets := append(witnessSets(), []Trial{{1, 1, 0}, {2, 1, 0}, {3, 1, 0}, {4.5, 1, 1}, {5, 1, 1}}, []Trial{{0, 4, 0}, {1, 6, 2}, {3, 2, 2}})
	for i, s := range sets {
		x, n, k := columns(s)
		fmt.Fprintf(&script, "x <- %s; n <- %s; k <- %s\nm <- glm(cbind(k, n-k) ~ x, family=binomial, method='brglmFit', type='AS_mean', epsilon=1e-12, maxit=1000)\n", vector(x), vector(n), vector(k))
		fmt.Fprintf(&script, "say('coef%d', coef(m)); say('se%[1]d', sqrt(diag(vcov(m))))\n", i)
	}
	got := ask(t, "brglm2", script.String())
	for i, s := range sets {
		c, err := FitCurve(s, true)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, fmt.Sprint("coef", i), got, c.A, c.B)
		compare(t, fmt.Sprint("se", i), got, math.Sqrt(c.Cov[0][0]), math.Sqrt(c.Cov[1][1]))
	}
}

// R's tests and prediction intervals are the same.
func TestROnCountsAndHeights(t *testing.T) {
	heights := []float64{0.031, 0.044, 0.052, 0.028, 0.075, 0.04, 0.061, 0.036, 0.09, 0.047, 0.055}
	counts := [][3]float64{{7, 20, 0.2}, {0, 12, 0.1}, {12, 12, 0.6}, {3, 40, 0.15}, {19, 60, 0.3}, {682, 925, 0.75}}
	var script strings.Builder
	fmt.Fprintf(&script, "h <- log(%s)\np <- predict(lm(h ~ 1), data.frame(a=1), interval='prediction', level=0.95)\nsay('height', exp(p))\n", vector(heights))
	for i, c := range counts {
		fmt.Fprintf(&script, "say('binom%d', binom.test(%g, %g, %g)$p.value)\nsay('wilson%[1]d', prop.test(%[2]g, %[3]g, correct=FALSE)$conf.int)\n", i, c[0], c[1], c[2])
	}
	got := ask(t, "", script.String())
	f := FitHeights(heights)
	compare(t, "height", got, f.Median, f.Low, f.High)
	for i, c := range counts {
		compare(t, fmt.Sprint("binom", i), got, BinomialTest(int(c[0]), int(c[1]), c[2]))
		low, high := wilson(c[0], c[1])
		compare(t, fmt.Sprint("wilson", i), got, low, high)
	}
}

// compare wants numbers that agree to six digits.
func compare(t *testing.T, name string, answers map[string][]float64, ours ...float64) {
	t.Helper()
	theirs := answers[name]
	if len(theirs) != len(ours) {
		t.Fatalf("%s: R gives %v", name, theirs)
	}
	for i, v := range ours {
		if math.Abs(v-theirs[i]) > 1e-6*(1+math.Abs(theirs[i])) {
			t.Errorf("%s: %.10g here, %.10g in R", name, v, theirs[i])
		}
	}
}
