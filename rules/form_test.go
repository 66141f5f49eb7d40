package rules

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// What a form needs stands in whatever it matches: the words of all forms, as
// they are, in capitals, and with the letters that ignoring case takes for others.
func TestFormsNeedWhatTheyMatch(t *testing.T) {
	forms := append(append(append([]form{}, quantityForms...), quantityName...), thicknessForms...)
	forms = append(forms, fractionForm, sheetForm, shortForm, plateForm, blechBare, gaugeText, mmToken, inToken, sizeChain,
		filmForm, zincMark, ralMark, isoCallout, gradeCallout, breakForm)
	words := strings.Split("pc|pcs|piece|pieces|off|stk|stck|stück|stueck|pièces|pieces|ud|uds|unidades|pz|pezzi|ea|qty|quantity|anzahl|"+
		"menge|stückzahl|stueckzahl|qté|qte|quantité|cant|cantidad|q.tà|x|t|th|thk|thickness|thick|dicke|blechdicke|stärke|staerke|"+
		"materialstärke|épaisseur|epaisseur|ép|ep|espesor|esp|spessore|spess|sp|s|dick|stark|d'épaisseur|de espesor|di spessore|blech|bl|"+
		"tôle|tole|tóle|lamiera|chapa|sheet|plate|PL|Pl|BL|ga|gauge|gage|mm|in|inch|\"|''|Z|ZE|ZM|G90|G115|G235|ral|iso 13715|"+
		"iso 8501-3|P2|grade|break all sharp edges|kanten brechen|casser les angles|romper aristas|smussare gli spigoli|pvc film|"+
		"film one side|with film|filmé|foliert|schutzfolie|mit folie|película protectora|pellicola|con film|to|max.|t2 mm|thk 1/8 in|iso 8501-3 grade P2", "|")
	between := []string{" ", "", "=", ":", ". ", ".", " = ", "-", "/", ", ", " x "}
	numbers := []string{"2", "1,5", "0.075", "1/8", "275", "7035", "-0.3", "+0.1/-0.5", "16", ""}
	written := []func(string) string{
		func(s string) string { return s }, strings.ToUpper,
		func(s string) string { return strings.NewReplacer("s", "ſ", "k", "\u212a").Replace(s) },
	}
	random := rand.New(rand.NewPCG(3, 5))
	pick := func(list []string) string { return list[random.IntN(len(list))] }
	matched := make([]int, len(forms))
	for range 40000 {
		text := ""
		for range 1 + random.IntN(3) {
			text += pick(words) + pick(between) + pick(numbers) + pick(between)
		}
		if random.IntN(2) == 0 {
			text = pick(numbers) + pick(between) + text
		}
		text = strings.Join(strings.Fields(written[random.IntN(len(written))](text)), " ")
		folded := strings.ReplaceAll(strings.ToLower(text), "ſ", "s")
		for i, f := range forms {
			if !f.match(text) {
				continue
			}
			matched[i]++
			if !f.may(folded) {
				t.Errorf("%q holds none of %q but matches", text, f.needs)
			}
			number := strings.ContainsAny(text, "0123456789")
			if !number && f.needs[0] != filmForm.needs[0] {
				t.Errorf("%q matches a form of numbers (%q) without one", text, f.needs)
			}
		}
	}
	for i, n := range matched {
		if n == 0 {
			t.Errorf("no text matched the form that needs %q", forms[i].needs)
		}
	}
}
