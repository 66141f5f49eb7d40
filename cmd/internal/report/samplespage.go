package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
)

//go:embed page/samples.css
var samplesStyleFile string

// samplesStyle is the report page's style with what sheets and plots need.
var samplesStyle = pageStyle + strings.ReplaceAll(samplesStyleFile, "\r\n", "\n")

// sheetOpen writes the start of a page without script.
func sheetOpen(w io.Writer, title string) error {
	return startPage(w, title, "style-src "+policyHash(samplesStyle), samplesStyle)
}

// formSteps are what an inspector does, on the page and in the workbook.
var formSteps = []string{
	"Take the pieces named for each part as they come off the cutting machine, and mark them. They keep their numbers.",
	"Where a height as cut can be measured, measure it now, on the burr side, and write it down in mm.",
	"Run the pieces over the line with the settings of the day. Change nothing for the sample's sake.",
	"Look at every numbered place, and write down clean or burr: clean is what the customer would take. Burr left and edge radius in mm where they can be measured.",
	"Judge the place, not the forecast. What the forecast says is in the workbook, not here.",
	"Write the answers into samples.xlsx, a row a place and piece, with the day. Rows left blank count as not inspected.",
}

var formTemplate = template.Must(template.New("form").Funcs(template.FuncMap{"clean": clean, "short": short, "sentence": sentence}).Parse(`<body>
<header><h1>Sample run: what to look at</h1>
<p class="sum">{{.Rows}} rows to fill in on {{len .Parts}} {{if eq (len .Parts) 1}}part{{else}}parts{{end}}. Places are those where the forecast is least sure, and a few clear ones as control.</p></header>
<ol class="steps">{{range .Steps}}<li>{{.}}</li>{{end}}</ol>
<p class="lead">Day of inspection <span class="blank long"></span> order <span class="blank long"></span> inspector <span class="blank long"></span></p>
<main>{{range .Parts}}
<section class="lot"><h2>{{clean .File}} {{.Part.ID}}</h2>
<p class="dim">{{range $i, $w := .Stock}}{{if $i}}, {{end}}{{clean $w}}{{end}}. Take {{.Take}}, over line {{clean .Line}}.</p>
{{.Picture}}
<div class="wide"><table class="grid"><thead><tr><th>no.</th><th>place</th><th>at, mm</th><th>what it is</th><th>piece</th><th>found</th><th>burr as cut, mm</th><th>burr left, mm</th><th>edge radius, mm</th><th>remarks</th></tr></thead><tbody>{{range .Rows}}
<tr>{{if .First}}<th class="n" rowspan="{{.Span}}">{{.Number}}</th><td rowspan="{{.Span}}">{{.Feature}}</td><td class="one" rowspan="{{.Span}}">{{short .X}}, {{short .Y}}</td><td class="what" rowspan="{{.Span}}">{{.What}}</td>{{end}}<td class="n">{{.Piece}}</td><td class="one"><span class="box"></span>clean <span class="box"></span>burr</td><td><span class="blank"></span></td><td><span class="blank"></span></td><td><span class="blank"></span></td><td><span class="blank long"></span></td></tr>{{end}}
</tbody></table></div></section>{{end}}
</main>
<footer><ul class="notes"><li>Parts from a cutting machine have sharp edges: gloves for carrying, never at a running infeed.</li>
<li>Local codes, the machine's own manual and qualified people come first.</li></ul></footer>
</body>
</html>
`))

type formRow struct {
	First         bool
	Span          int
	Number, Piece int
	Feature, What string
	X, Y          float64
}

// measuredWords says what a place measures: a width, a depth, a ratio. Thickness
// is the sheet's in mm, 0 where it is not known.
func (p SamplePlace) measuredWords(thickness float64) string {
	what := map[string]string{
		"hole-reach": "hole", "slot-reach": "slot", "notch-reach": "notch", "corner-reach": "inside corner",
		"hole-thickness": "hole", "slot-thickness": "slot", "web-thickness": "web",
	}[p.Rule]
	unit := p.Unit
	if p.Rule == "corner-reach" {
		unit += " left by the brush"
	}
	if thickness > 0 && unit == "x thickness" {
		return fmt.Sprintf("%s, %s mm (%s %s)", what, short(thickness*p.Measured), short(p.Measured), unit)
	}
	return what + ", " + short(p.Measured) + " " + unit
}

func writeFormPage(w io.Writer, form *SampleForm) error {
	if err := sheetOpen(w, "Sample run"); err != nil {
		return err
	}
	type part struct {
		File, Take, Line string
		Part             *Part
		Stock            []string
		Picture          template.HTML
		Rows             []formRow
	}
	data := struct {
		Rows  int
		Steps []string
		Parts []part
	}{form.Rows(), formSteps, nil}
	for i := range form.Parts {
		p := &form.Parts[i]
		v := part{File: p.File, Line: p.Line, Part: p.Part, Take: p.pieceWords(), Picture: template.HTML(samplePicture(p))}
		var lacks []string
		for _, s := range [][2]string{{"material", p.Material}, {"thickness", thicknessWords(p.Thickness)}, {"process", p.Process}} {
			if s[1] != "" {
				v.Stock = append(v.Stock, s[1])
			} else {
				lacks = append(lacks, s[0])
			}
		}
		if len(lacks) > 0 {
			v.Stock = append(v.Stock, "not known, write into the workbook: "+strings.Join(lacks, " and "))
		}
		for _, s := range p.Places {
			for k, n := range p.Take {
				v.Rows = append(v.Rows, formRow{First: k == 0, Span: len(p.Take), Number: s.Number, Piece: n, Feature: s.Feature, What: s.measuredWords(p.Thickness), X: s.X, Y: s.Y})
			}
		}
		data.Parts = append(data.Parts, v)
	}
	return formTemplate.Execute(w, data)
}

func thicknessWords(t float64) string {
	if t <= 0 {
		return ""
	}
	return short(t) + " mm"
}
