package rules_test

import (
	"fmt"
	"os"

	"burrcast/analyze"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// A quote service: read a drawing, measure it, judge every part, and tell
// treatment, minutes and cost. Nothing is written anywhere, and everything may
// run in many goroutines at once.
func Example() {
	// The shop's own numbers; LoadShop reads them from a file.
	shop := rules.DefaultShop()

	// What the shop says a measure must know: what layers mean, and the diameters
	// of the brush bundles whose reach is asked for.
	measuring := analyze.Options{Tools: shop.Tools("")}
	for _, l := range shop.Layers {
		measuring.Layers = append(measuring.Layers,
			analyze.LayerRule{Layer: l.Layer, LineType: l.LineType, Meaning: analyze.Meaning(l.Meaning)})
	}

	file, err := os.Open("../testdata/demo/key-hanger.dxf")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer file.Close()
	drawing, err := dxf.Read(file, dxf.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	result := analyze.Analyze(drawing, measuring)

	// What the customer ordered. What is not given becomes a question.
	form := func(value string) rules.Given { return rules.Given{Value: value, Source: "order form"} }
	job := rules.Job{Material: form("S235"), Thickness: form("2"), Process: form("laser-o2"), Edge: form("safe-to-handle"), Quantity: 40}

	for _, part := range result.Parts {
		j, err := rules.Judge(result.Drawing, part.Measure, job, shop)
		if err != nil {
			fmt.Println(err)
			return
		}
		pieces := float64(part.Measure.Quantity * job.Quantity)
		fmt.Printf("%s: %.0f pieces, treatment %s, %d questions\n", part.Measure.ID, pieces, j.Treatment, len(j.Questions))
		for _, f := range j.Findings {
			if f.Treatment == j.Treatment {
				fmt.Printf("because of %s at (%.0f, %.0f): %.1f %s, limit %.1f\n", f.Rule, f.At.X, f.At.Y, f.Measured, f.Unit, f.Limit)
				break
			}
		}
		fmt.Printf("line %.1f to %.1f min, bench %.1f to %.1f min\n",
			pieces*j.LineTime.Low/60, pieces*j.LineTime.High/60, pieces*j.HandTime.Low/60, pieces*j.HandTime.High/60)
		fmt.Printf("%.0f to %.0f %s\n", pieces*j.Cost.Low, pieces*j.Cost.High, shop.Currency)
	}
	// Output:
	// P1: 40 pieces, treatment hand, 0 questions
	// because of hole-reach at (30, 64): 1.5 mm, limit 2.4
	// line 4.0 to 4.0 min, bench 36.0 to 73.5 min
	// 36 to 92 EUR
}

// What nobody gave is asked, with the rules that wait for the answer.
func ExampleJudge_questions() {
	shop := rules.DefaultShop()
	drawing, err := readDemo("hopper-front.dxf")
	if err != nil {
		fmt.Println(err)
		return
	}
	result := analyze.Analyze(drawing, analyze.Options{Tools: shop.Tools("")})
	j, err := rules.Judge(result.Drawing, result.Parts[0].Measure, rules.Job{
		Material: rules.Given{Value: "S235", Source: "order form"},
		Process:  rules.Given{Value: "laser-n2", Source: "order form"},
		Edge:     rules.Given{Value: "-0.3", Source: "order form"},
	}, shop)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, q := range j.Questions {
		fmt.Printf("%s? %d rules wait for it\n", q.Input, len(q.Unjudged))
	}
	// Output:
	// thickness? 7 rules wait for it
}

func readDemo(name string) (*dxf.Drawing, error) {
	data, err := os.ReadFile("../testdata/demo/" + name)
	if err != nil {
		return nil, err
	}
	return dxf.ReadBytes(data, dxf.Options{})
}

// A shop's own file holds only what differs from the built-in one; a word in it
// that is not known is an error with its line.
func ExampleLoadShop() {
	shop, err := rules.LoadShop("own.toml", []byte("[limit]\nhole-reach = 3.0\n"))
	fmt.Println(shop.Limits["hole-reach"], err)
	_, err = rules.LoadShop("own.toml", []byte("[limit]\nhole-rich = 3.0\n"))
	fmt.Println(err)
	// Output:
	// 3 <nil>
	// own.toml:2: limit.hole-rich: no rule or limit has this name, did you mean "hole-reach"?
}

// Every rule is a documented row.
func ExampleLookup() {
	r, ok := rules.Lookup("joint-nib")
	fmt.Println(ok, r.Title)
	fmt.Println(r.Default, r.Unit, "-", r.Provenance)
	// Output:
	// true joint that leaves a nib
	// 0.1 mm - common practice
}
