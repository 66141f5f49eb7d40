package report

import (
	"fmt"
	"html/template"
	"io"
	"path/filepath"
)

// Files of the folder that learn writes.
const (
	LearnPage    = "samples-learned.html"
	LearnProgram = "samples-learned.json"
)

// WriteLearnedFolder writes the page with its plots and the JSON to a folder,
// both whole or none. Inputs are files that must not be written over.
func WriteLearnedFolder(dir string, l *Learned, inputs []string) error {
	f := &Folder{dir: dir, inputs: map[string]string{}}
	for _, in := range inputs {
		if in != "" {
			f.inputs[place(filepath.FromSlash(in))] = in
		}
	}
	if err := f.mkdir(dir); err != nil {
		return f.failed(dir, err)
	}
	defer f.Abort()
	for _, file := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{LearnPage, func(w io.Writer) error { return writeLearnedPage(w, l) }},
		{LearnProgram, func(w io.Writer) error { return WriteLearned(w, "json", l) }},
	} {
		o, err := f.create(file.name)
		if err != nil {
			return err
		}
		if err := file.write(o); err != nil {
			return f.failed(o.name, err)
		}
	}
	return f.Close(Tail{})
}

var learnedTemplate = template.Must(template.New("learned").Funcs(template.FuncMap{
	"clean": clean, "sentence": sentence, "plural": plural, "percent": percent,
}).Parse(`<body>
<header><h1>What the samples say</h1>
<p class="sum">{{sentence .Head}} {{sentence .Summary}}</p>{{with .Shop}}
<p class="answer">{{sentence (clean .)}}</p>{{end}}</header>
<main>{{range .Groups}}
<section class="group"><h2>{{.G.Title}} <small>{{clean .G.Rule}} on {{clean .G.Line}}, {{plural .G.Samples "sample"}}, {{.G.Clean}} clean</small></h2>
{{range .Answer}}<p class="answer">{{sentence (clean .)}}</p>
{{end}}<p class="answer state {{if .G.Settled}}yes{{else}}no{{end}}">{{sentence (clean .State)}}</p>
{{with .Drift}}<p class="{{if $.Flagged .}}warn{{else}}answer{{end}}">{{sentence (clean .)}}</p>
{{end}}{{with .Next}}<p class="answer">{{sentence (clean .)}}</p>
{{end}}{{with .G.Mixed}}<p class="answer dim">Fitted together: {{clean .}}.</p>
{{end}}<div class="pair"><figure>{{.Fit}}<figcaption>Every dot is an inspected place: hollow above came clean, full below kept burr. The curve is the fitted chance, the tinted band the 95 % interval of the limit, the dashed line the limit forecast so far.</figcaption></figure>
<figure>{{.Reliability}}<figcaption>A forecast to be trusted lies on the dashed diagonal. The numbers count places; the bars are 95 % intervals.</figcaption></figure></div>
<h3>Forecast and outcome</h3>
<p class="answer">{{sentence .Forecast}}</p>
<div class="wide"><table class="grid slim"><thead><tr><th>chance forecast</th><th class="n">samples</th><th class="n">mean forecast</th><th class="n">came clean</th><th>95 % interval</th></tr></thead><tbody>{{range .G.Forecast.Reliability}}
<tr><td>{{percent .From}} to {{percent .To}}</td><td class="n">{{.Samples}}</td>{{if .Clean}}<td class="n">{{percent .Forecast}}</td><td class="n">{{percent .Clean}}</td><td>{{percent .Low}} to {{percent .High}}</td>{{else}}<td></td><td></td><td></td>{{end}}</tr>{{end}}
</tbody></table></div></section>{{end}}
{{if .Heights}}<section class="group"><h2>Burr heights as cut</h2><ul class="told">{{range .Heights}}
<li>{{clean .}}</li>{{end}}</ul></section>{{end}}
{{if .Problems}}<section class="group"><h2>Rows left out</h2><ul class="told">{{range .Problems}}
<li>{{clean .}}</li>{{end}}</ul></section>{{end}}
{{if .Duplicates}}<section class="group"><h2>Duplicates</h2><ul class="told">{{range .Duplicates}}
<li>{{clean .}}</li>{{end}}</ul></section>{{end}}
</main>
<footer><ul class="notes"><li>A fitted limit holds for the line, the brush and the settings that were sampled. Local codes, the machine's own manual and qualified people come first.</li></ul></footer>
</body>
</html>
`))

// percent is a share for people.
func percent(v any) (string, error) {
	switch n := v.(type) {
	case Num:
		return fmt.Sprintf("%.0f %%", 100*float64(n)), nil
	case *Num:
		return percent(*n)
	}
	return "", fmt.Errorf("implementation error: %T is no share", v)
}

type learnedView struct {
	Head, Summary, Shop           string
	Groups                        []learnedGroupView
	Heights, Problems, Duplicates []string
}

type learnedGroupView struct {
	G                            *LearnedGroup
	Answer                       []string
	State, Drift, Next, Forecast string
	Fit, Reliability             template.HTML
}

// Flagged reports whether a sentence on drift is a warning.
func (learnedView) Flagged(s string) bool { return len(s) > 5 && s[:5] == "DRIFT" }

func writeLearnedPage(w io.Writer, l *Learned) error {
	if err := sheetOpen(w, "What the samples say"); err != nil {
		return err
	}
	v := learnedView{Head: l.headline(), Summary: l.summary()}
	if l.Shop != nil {
		v.Shop = l.Shop.words()
	}
	for i := range l.Groups {
		g := &l.Groups[i]
		answer := g.answer()
		view := learnedGroupView{G: g, Answer: answer[:len(answer)-1], State: answer[len(answer)-1], Next: g.nextWords(),
			Forecast: g.Forecast.words(), Fit: template.HTML(fitPlot(g)), Reliability: template.HTML(reliabilityPlot(g))}
		if g.Drift != nil {
			view.Drift = g.driftWords()
		}
		v.Groups = append(v.Groups, view)
	}
	for i := range l.Heights {
		v.Heights = append(v.Heights, l.Heights[i].words())
	}
	for i := range l.Problems {
		v.Problems = append(v.Problems, l.Problems[i].Words())
	}
	for i := range l.Duplicates {
		v.Duplicates = append(v.Duplicates, l.Duplicates[i].words())
	}
	return learnedTemplate.Execute(w, v)
}
