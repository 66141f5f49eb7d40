package rules

import (
	"fmt"
	"strings"
)

// Page returns the rules as one page of Markdown, generated from their rows.
func Page() string {
	var b strings.Builder
	b.WriteString(`# The rules

Generated from the rules themselves; change them there and run
"go test ./rules -run TestPage -update". "burrcast explain RULE" prints one.

Every rule has a drawing that passes it and one that fails it in testdata/rules,
RULE-pass.dxf and RULE-fail.dxf; an example's numbers are those of the second.

Every limit can be set in the shop file under [limit] by the rule's name, and is
then reported as the shop's. Where a limit follows the line or the process
chosen, the default below is that of the built-in shop. A provenance is one of:
looked up (seen in a public page), memory (recalled, the source was not seen),
common practice (rule of thumb of the trade), arithmetic (computed from values
named beside it), reasoning (an inference, no source), shop (the shop's own).
`)
	group := ""
	for _, r := range rows() {
		if r.Group != group {
			group = r.Group
			fmt.Fprintf(&b, "\n## %s\n\n| rule | what | limit | treatment |\n|---|---|---|---|\n", group)
			for _, s := range rows() {
				if s.Group == group {
					fmt.Fprintf(&b, "| [%s](#%s) | %s | %g %s | %s |\n", s.Name, s.Name, s.Title, s.Default, s.Unit, s.Treatment)
				}
			}
		}
		fmt.Fprintf(&b, "\n### %s\n\n%s.\n\n", r.Name, sentenceCase(r.Title))
		for _, row := range [][2]string{
			{"measured", r.Measured}, {"formula", r.Formula}, {"default", strings.TrimSpace(fmt.Sprintf("%g %s", r.Default, r.Unit))},
			{"applies", r.Applies}, {"treatment", r.Treatment.String()}, {"why", r.Why}, {"do", r.Do},
			{"source", r.Source}, {"provenance", r.Provenance}, {"example", r.Example},
		} {
			fmt.Fprintf(&b, "- **%s**: %s\n", row[0], markdown.Replace(row[1]))
		}
	}
	b.WriteString("\n## shared limits\n\n")
	for _, name := range sortedKeys(extraLimits) {
		fmt.Fprintf(&b, "- **%s**: %s\n", name, markdown.Replace(extraLimits[name]))
	}
	b.WriteString("\n## where sources disagree\n\n| about | sources say | used | shown in |\n|---|---|---|---|\n")
	for _, d := range Disagreements() {
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", markdown.Replace(d.About), markdown.Replace(strings.Join(d.Says, "; ")), markdown.Replace(d.Used), markdown.Replace(d.Shown))
	}
	return b.String()
}

// markdown keeps what a page would take for its own marks.
var markdown = strings.NewReplacer("*", `\*`, "_", `\_`, "<", "&lt;", ">", "&gt;", "|", `\|`)

func sentenceCase(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// String is the treatment's word.
func (t Treatment) String() string {
	if t < Line || t > Ask {
		return fmt.Sprintf("treatment(%d)", int(t))
	}
	return [...]string{Line: "line", Brush: "brush", Fixture: "fixture", Hand: "hand", Ask: "ask"}[t]
}
