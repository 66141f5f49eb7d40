package dxf

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/korean"
	"golang.org/x/text/encoding/simplifiedchinese"
	"golang.org/x/text/encoding/traditionalchinese"
	"golang.org/x/text/encoding/unicode"
)

// codePages lists what $DWGCODEPAGE names: numbers behind "ANSI_" or "DOS", and
// the names of standards. DOS 720, 737, 775, 857, 861, 864, 869 and Johab, which
// golang.org/x/text does not have, are told as unknown.
var codePages = map[string]encoding.Encoding{
	"437": charmap.CodePage437, "850": charmap.CodePage850, "852": charmap.CodePage852,
	"855": charmap.CodePage855, "858": charmap.CodePage858, "860": charmap.CodePage860,
	"862": charmap.CodePage862, "863": charmap.CodePage863, "865": charmap.CodePage865,
	"866": charmap.CodePage866,
	"874": charmap.Windows874, "932": japanese.ShiftJIS, "936": simplifiedchinese.GBK,
	"949": korean.EUCKR, "950": traditionalchinese.Big5,
	"1250": charmap.Windows1250, "1251": charmap.Windows1251, "1252": charmap.Windows1252,
	"1253": charmap.Windows1253, "1254": charmap.Windows1254, "1255": charmap.Windows1255,
	"1256": charmap.Windows1256, "1257": charmap.Windows1257, "1258": charmap.Windows1258,
	"ISO8859-1": charmap.ISO8859_1, "ISO8859-2": charmap.ISO8859_2, "ISO8859-3": charmap.ISO8859_3,
	"ISO8859-4": charmap.ISO8859_4, "ISO8859-5": charmap.ISO8859_5, "ISO8859-6": charmap.ISO8859_6,
	"ISO8859-7": charmap.ISO8859_7, "ISO8859-8": charmap.ISO8859_8, "ISO8859-9": charmap.ISO8859_9,
	"MACINTOSH": charmap.Macintosh, "MAC-ROMAN": charmap.Macintosh, "BIG5": traditionalchinese.Big5,
	"GB2312": simplifiedchinese.GBK, "KSC5601": korean.EUCKR, "ASCII": charmap.Windows1252,
	"UTF-8": unicode.UTF8, "UTF8": unicode.UTF8,
}

// plainText removes a byte order mark and turns UTF-16 into UTF-8.
func plainText(data []byte) ([]byte, error) {
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		return data[3:], nil
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		dec := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder()
		out, err := dec.Bytes(data)
		if err != nil {
			return nil, &Error{Code: CodeBinary, Text: "broken UTF-16 text", Err: err}
		}
		return out, nil
	}
	return data, nil
}

// encoding returns the encoding that the header names, or nil if it names none
// that is known.
func (h *header) encoding() encoding.Encoding {
	name := strings.ToUpper(h.codePage)
	if enc, ok := codePages[strings.Replace(strings.Replace(name, "ISO-8859", "ISO8859", 1), "ISO8859_", "ISO8859-", 1)]; ok {
		return enc
	}
	for _, prefix := range []string{"ANSI_", "ANSI", "DOS", "CP", "WINDOWS-"} {
		if number, ok := strings.CutPrefix(name, prefix); ok {
			return codePages[number]
		}
	}
	return nil
}

// decode turns bytes of the file into text. Files from R2007 (AC1021) on are
// UTF-8, older ones in the code page of the header; but many writers know only
// one of the two, and other encodings hardly form valid UTF-8 by chance. So
// what is valid UTF-8 is taken as that, the rest as enc says, and as
// Windows-1252 if nothing is said.
func decode(b []byte, enc encoding.Encoding) string {
	if utf8.Valid(b) {
		return string(b)
	}
	if enc == nil {
		enc = charmap.Windows1252
	}
	out, err := enc.NewDecoder().Bytes(b)
	if err != nil || !utf8.Valid(out) {
		return strings.ToValidUTF8(string(b), "\uFFFD")
	}
	return string(out)
}

// decodeNames decodes every interned name once the header is known.
func (p *parser) decodeNames() []string {
	p.enc = p.header.encoding()
	if page := p.header.codePage; page != "" && p.enc == nil && p.needsPage() {
		p.note("unknown-code-page", 1, "code page %s is not known: texts and names are read as Windows-1252", quote([]byte(page)))
	}
	out := make([]string, len(p.names.names))
	for i, n := range p.names.names {
		out[i] = unescape(decode([]byte(n), p.enc))
	}
	return out
}

// needsPage reports whether a name or text is not to be read without a code page.
func (p *parser) needsPage() bool {
	return slices.ContainsFunc(p.names.names, func(s string) bool { return !utf8.ValidString(s) }) ||
		slices.ContainsFunc(p.texts, func(b []byte) bool { return !utf8.Valid(b) })
}

// wideCodes lists the code pages that the digit after \M+ means.
var wideCodes = map[byte]string{'1': "932", '2': "950", '3': "949", '5': "936"}

// wideChar resolves the digits of an \M+ escape: one for the code page, four for two
// bytes in it.
func wideChar(s string) (string, bool) {
	enc := codePages[wideCodes[s[0]]]
	n, err := strconv.ParseUint(s[1:5], 16, 16)
	if enc == nil || err != nil {
		return "", false
	}
	out, err := enc.NewDecoder().Bytes([]byte{byte(n >> 8), byte(n)})
	if err != nil || !utf8.Valid(out) || bytes.ContainsRune(out, utf8.RuneError) {
		return "", false
	}
	return string(out), true
}
