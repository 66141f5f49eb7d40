package dxf

import "fmt"

// Codes of Error.
const (
	CodeEmpty   = "empty-file"   // no bytes, or blanks only
	CodeNotDXF  = "not-dxf"      // text or bytes without a single section
	CodeDWG     = "dwg-file"     // the closed binary sister format
	CodeBinary  = "binary-data"  // bytes that are neither text nor binary DXF
	CodeLimit   = "limit"        // a bound of Options was reached
	CodeNothing = "nothing-read" // a DXF file that draws nothing readable
	CodeUnits   = "bad-units"    // Options.Units names no known unit
	CodePacked  = "packed-data"  // a broken archive, or one that does not hold one drawing
	CodeRead    = "read-failed"  // the reader given to Read failed
)

// Error says why a file could not be read.
type Error struct {
	Code string
	Line int // line (byte offset in a binary file), 0 when the whole file is meant
	Text string
	Err  error // the cause, if another error is behind this one
}

func (e *Error) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("line %d: %s", e.Line, e.Text)
	}
	return e.Text
}

func (e *Error) Unwrap() error { return e.Err }
