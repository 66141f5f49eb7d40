package rules

// Word borders: Go's \b knows ASCII only.
const (
	begin  = `(?:^|[^\p{L}\p{N}.,])`
	end    = `(?:$|[^\p{L}\p{N}])`
	ends   = `(?:$|[^\p{L}\p{N}:/])` // after a size: "S=1:2" is a scale
	number = `(\d{1,3}(?:[.,]\d{1,4})?)`
)

var (
	pieces = `(?:pcs?|pieces?|off|stk|stck|st(?:ü|ue)ck|pi[eè]ces?|uds?|unidades|pz|pezzi|ea)`

	quantityForms = []form{
		newForm(`(?i)`+begin+`(\d{1,6})\s?`+pieces+`\.?`+end, "pc", "pi", "off", "stk", "stck", "stü", "stue", "ud", "unid", "pz", "pezz", "ea"),
		newForm(`(?i)`+begin+`(?:qty|quantity|anzahl|menge|st(?:ü|ue)ckzahl|stk|qt[eé]|quantit[eéà]|cant|cantidad|q\.t[aà])\.?\s?[:=]?\s?(\d{1,6})`+end, "qt", "quant", "anzahl", "menge", "ckzahl", "stk", "cant", "q.t"),
	}
	quantityName = []form{
		newForm(`(?i)(?:^|[ \-])x(\d{1,5})(?:$|[ \-])`, "x"),
		newForm(`(?i)(?:^|[ \-])(\d{1,5})x(?:$|[ \-])`, "x"),
	}

	unit = `\s?(mm|in\b|inch|"|'')?`

	// Words and signs that say thickness.
	thicknessForms = []form{
		newForm(`(?i)`+begin+`(?:t|th|thk|thickness|thick|dicke|blechdicke|st(?:ä|ae)rke|blechst(?:ä|ae)rke|materialst(?:ä|ae)rke|[eé]paisseur|[eé]p|espesor|esp|spessore|spess|sp)\s?[=:]\s?`+number+unit+ends, "=", ":"),
		newForm(`(?i)`+begin+`s\s?=\s?`+number+unit+ends, "="),
		newForm(`(?i)`+begin+`(?:thk|thickness|thick|dicke|blechdicke|st(?:ä|ae)rke|blechst(?:ä|ae)rke|[eé]paisseur|espesor|spessore)\.?\s`+number+unit+ends, "th", "dicke", "rke", "paisseur", "espesor", "spessore"),
		newForm(`(?i)`+begin+`(?:[eé]p|esp|spess|sp|thk)\.\s?`+number+unit+ends, "p.", "spess.", "thk."),
		newForm(`(?i)`+begin+`t`+number+`\s?(mm)`+ends, "mm"),
		newForm(`(?i)`+begin+number+unit+`\s?(?:thk|thick|dick|stark|d'[eé]paisseur|de espesor|di spessore)\.?`+end, "th", "dick", "stark", "paisseur", "espesor", "spessore"),
	}
	fractionForm = newForm(`(?i)`+begin+`(?:t|thk|thickness|thick)\.?\s?[=:]?\s?(\d{1,2}/\d{1,2})\s?(?:in|inch|"|'')`+end, "/")
	// Words for sheet, which may also stand before a width.
	sheetForm = newForm(`(?i)`+begin+`(?:blech|bl\.?|t[oôó]le|lamiera|chapa|sheet|plate)\s?`+number+`\s?(mm|in\b|inch|"|'')`+ends, "bl", "tole", "tôle", "tóle", "lamiera", "chapa", "sheet", "plate")
	// "t2" or "t1,5" as a word of a file name.
	shortForm = newForm(`(?i)(?:^|[ \-])t(\d{1,2}(?:[.,]\d{1,2})?)(?:$|[ \-])`, "t")
	// A plate mark of steel detailing: PL3, PL10x200.
	plateForm = newForm(`(?:^|[^\p{L}\p{N}])(?:PL|Pl|BL|Bl)\.?\s?`+number+`(?:$|[^\p{L}\p{N}.,]|[x×*])`, "pl", "bl")
	blechBare = newForm(`(?i)(?:^|[^\p{L}\p{N}])(?:blech|lamiera|t[oô]le)\s`+number+`$`, "blech", "lamiera", "tole", "tôle")
	gaugeText = newForm(`(?i)`+begin+`(\d{1,2})[\s-]?(?:ga|gauge|gage)\.?`+end, "ga")
	mmToken   = newForm(`(?i)(?:^|[ ,;\-])`+number+`\s?mm(?:$|[ ,;.\-])`, "mm")
	inToken   = newForm(`(?i)(?:^|[ ,;\-])(\d?[.,]\d{2,4})\s?(?:in|inch|")(?:$|[ ,;.\-])`, "in", `"`)
	sizeChain = newForm(`(?i)\d+(?:[.,]\d+)?(?:\s?mm)?(?:\s?[x×]\s?\d+(?:[.,]\d+)?(?:\s?mm)?)+`, "x", "×") // 100x60x2mm
)

var between = newForm(`(?i)^[\s,;:/\-]*(?:blech|sheet|t[oô]le|lamiera|chapa)?[\s,;:/\-]*$`)

var filmForm = newForm(`(?i)`+begin+`((?:pvc|pe|laser|protective|protection)[ \-]?film|film (?:on )?(?:one|both|1|2) sides?|with film|film[eé]e?|foliert|(?:schutz|laser)?folie|mit folie|pel[ií]cula protectora|pellicola|con film)`+end, "film", "foli", "pel")

var (
	zincMark = newForm(`(?:^|[^\p{L}\p{N}])\+?((?:Z|ZE|ZM|ZA)\s?\d{2,3}(?:/\d{2,3})?|G(?:30|40|60|90|115|140|185|235))`+end, "z", "g1", "g2", "g3", "g4", "g6", "g9")
	ralMark  = newForm(`(?i)`+begin+`(ral\s?\d{4})`+end, "ral")
)

var (
	isoCallout   = newForm(`(?i)iso\s*13715\s*[:\-–]?\s*([+\-−±]\s?\d+(?:[.,]\d+)?(?:\s?/\s?[+\-−]\s?\d+(?:[.,]\d+)?)?)`, "13715")
	gradeCallout = newForm(`(?i)iso\s*8501-3\s*[:,\-–]?\s*(?:grade\s*)?(P[123])`, "8501-3")
	breakForm    = newForm(`(?i)(?:break(?:\s+all)?(?:\s+sharp)?\s+edges|kanten\s+(?:brechen|gebrochen)|casser\s+(?:les\s+)?angles|romper\s+aristas|smussare\s+(?:gli\s+)?spigoli)\s*(?:to|max\.?|auf|à|a|=|:)?\s*(?:R\s?)?`+number+`(?:\s?(?:mm)?\s?(?:-|–|to|bis|\.\.\.?|/)\s?`+number+`)?`, "break", "kanten", "casser", "romper", "smussare")
)
