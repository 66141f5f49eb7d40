package cli

import (
	"bufio"
	"compress/gzip"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"burrcast/cmd/internal/report"
)

// result is what one run left: a report in JSON or in JSON lines, packed or not.
// It is read twice, once to learn what it is and once to join it, and never held
// in memory.
type result struct {
	file    string // as given, with "/"
	path    string // where it is read from
	from    int64  // where it starts in the file, unpacked: files may be put behind one another
	number  int    // of several results in one file, from 1; 0 if it is alone
	lines   bool   // JSON lines
	schema  string
	run     *report.Run
	end     *report.End // nil if it was cut off
	cut     string      // how it ends, then
	names   []string    // of its drawings, in order
	indexes []int       // of a shard's drawings
	print   [sha256.Size]byte
}

// name is how messages call it.
func (r *result) name() string {
	if r.number > 0 {
		return fmt.Sprintf("%s (result %d in it)", r.file, r.number)
	}
	return r.file
}

// open opens the file, unpacked, from the start of the result on.
func (r *result) open() (io.ReadCloser, error) {
	f, err := os.Open(r.path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", r.file, plain(err))
	}
	in := bufio.NewReaderSize(f, 1<<16)
	out := struct {
		io.Reader
		io.Closer
	}{in, f}
	if head, _ := in.Peek(2); string(head) == "\x1f\x8b" {
		packed, err := gzip.NewReader(in)
		if err != nil {
			f.Close()
			return nil, fmt.Errorf("%s: broken compressed data: %w", r.file, err)
		}
		out.Reader = packed
	}
	if _, err := io.CopyN(io.Discard, out.Reader, r.from); err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: changed while it was read", r.file)
	}
	return out, nil
}

// spooled copies what can be read only once to a file.
func spooled(in io.Reader) (string, error) {
	f, err := os.CreateTemp("", program+"-*.tmp")
	if err != nil {
		return "", err
	}
	defer f.Close()
	_, err = io.Copy(f, in)
	return f.Name(), err
}

// brief is what the first reading looks at of a line.
type brief struct {
	Schema string      `json:"schema"`
	Run    *report.Run `json:"run"`
	File   *string     `json:"file"`
	Index  int         `json:"index"`
	End    *report.End `json:"end"`
}

// errEnds is why a file cannot be joined as it is.
var errEnds = errors.New("ends before its totals")

// survey lists the results in a file. What is not a result at all is an error; a
// result that is cut off is one without an end.
func survey(file, path string) ([]*result, error) {
	r := &result{file: filepath.ToSlash(file), path: path}
	in, err := r.open()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	hash := sha256.New()
	dec := json.NewDecoder(io.TeeReader(in, hash))
	whole, err := isReport(r)
	if err != nil {
		return nil, err
	}
	if whole {
		err := r.surveyReport(dec)
		hash.Sum(r.print[:0])
		return []*result{r}, err
	}
	var all []*result
	for r.lines = true; ; {
		var l brief
		err := dec.Decode(&l)
		switch {
		case errors.Is(err, io.EOF):
			if r.end == nil && (r.run != nil || len(r.names) > 0 || len(all) == 0) {
				r.cut = fmt.Sprintf("%v, after %d drawings", errEnds, len(r.names))
				all = append(all, r)
			}
			for i, r := range all {
				if hash.Sum(r.print[:0]); len(all) > 1 {
					r.number = i + 1
				}
			}
			return all, nil
		case errors.Is(err, io.ErrUnexpectedEOF) || packedCut(err):
			r.cut = fmt.Sprintf("%v, in the middle of drawing %d", errEnds, len(r.names)+1)
			hash.Sum(r.print[:0])
			return append(all, r), nil
		case err != nil:
			return nil, fmt.Errorf("%s: not a result of %s: %w", r.file, program, err)
		case l.Run != nil && len(r.names) > 0: // the one before was cut off at the end of a line
			return nil, fmt.Errorf("%s: %w, after %d drawings, and another result follows", r.file, errEnds, len(r.names))
		case l.File == nil && l.End == nil:
			return nil, fmt.Errorf("%s: not a result of %s: neither a drawing nor an end", r.file, program)
		}
		if l.Run != nil {
			r.schema, r.run = l.Schema, l.Run
		}
		if l.File != nil {
			r.names, r.indexes = append(r.names, *l.File), append(r.indexes, l.Index)
		}
		if l.End != nil {
			r.end = l.End
			all = append(all, r)
			r = &result{file: r.file, path: path, lines: true, from: dec.InputOffset()}
		}
	}
}

// packedCut says whether packed data ended too early.
func packedCut(err error) bool { return errors.Is(err, gzip.ErrChecksum) }

// isReport tells a report in one piece from lines by the first keys.
func isReport(r *result) (bool, error) {
	in, err := r.open()
	if err != nil {
		return false, err
	}
	defer in.Close()
	dec := json.NewDecoder(in)
	t, err := dec.Token()
	if err == nil && t != json.Delim('{') {
		err = errors.New("not an object")
	}
	for err == nil {
		var key json.Token
		if key, err = dec.Token(); err != nil {
			break
		}
		switch key {
		case "drawings":
			return true, nil
		case "file", "end":
			return false, nil
		}
		var skip json.RawMessage
		err = dec.Decode(&skip)
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return false, nil // cut off before it says so
	}
	return false, fmt.Errorf("%s: not a result of %s in JSON or JSON lines", r.file, program)
}

// surveyReport learns what a report in one piece is.
func (r *result) surveyReport(dec *json.Decoder) error {
	end := &report.End{}
	totals := false
	err := walkReport(dec, func(key string) error {
		switch key {
		case "schema":
			return dec.Decode(&r.schema)
		case "run":
			return dec.Decode(&r.run)
		case "incomplete":
			return dec.Decode(&end.Incomplete)
		case "questions":
			return dec.Decode(&end.Questions)
		case "totals":
			totals = true
			return dec.Decode(&end.Totals)
		case "notes":
			return dec.Decode(&end.Notes)
		case "messages":
			return dec.Decode(&end.Messages)
		case "changes":
			return dec.Decode(&end.Changes)
		case "comparison":
			return dec.Decode(&end.Comparison)
		}
		return fmt.Errorf("unknown key %q", key)
	}, func() error {
		var l brief
		if err := dec.Decode(&l); err != nil {
			return err
		}
		if l.File == nil {
			return errors.New("a drawing without a name")
		}
		r.names, r.indexes = append(r.names, *l.File), append(r.indexes, l.Index)
		return nil
	})
	switch {
	case err == nil && totals:
		r.end = end
	case err == nil:
		return fmt.Errorf("%s: not a result of %s: no totals", r.file, program)
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || packedCut(err):
		r.cut = fmt.Sprintf("%v, after %d drawings", errEnds, len(r.names))
	default:
		return fmt.Errorf("%s: not a result of %s: %w", r.file, program, err)
	}
	return nil
}

// walkReport walks the one object of a report, drawing by drawing.
func walkReport(dec *json.Decoder, field func(key string) error, drawing func() error) error {
	if _, err := dec.Token(); err != nil {
		return err
	}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return err
		}
		if key != "drawings" {
			name, _ := key.(string)
			if err := field(name); err != nil {
				return err
			}
			continue
		}
		t, err := dec.Token()
		if err != nil {
			return err
		}
		if t != json.Delim('[') {
			return errors.New("drawings are not a list")
		}
		for dec.More() {
			if err := drawing(); err != nil {
				return err
			}
		}
		if _, err := dec.Token(); err != nil {
			return err
		}
	}
	_, err := dec.Token()
	return err
}

// errEnough ends a walk early.
var errEnough = errors.New("enough")

// each hands on the drawings of the result in order; what the types do not know
// is an error, since it would be lost.
func (r *result) each(hand func(*report.Drawing) error) error {
	in, err := r.open()
	if err != nil {
		return err
	}
	defer in.Close()
	dec := json.NewDecoder(in)
	dec.DisallowUnknownFields()
	left := len(r.names)
	one := func() error {
		if left == 0 {
			return errEnough
		}
		left--
		var l report.Line
		if err := dec.Decode(&l); err != nil {
			return err
		}
		if l.Drawing == nil {
			return errors.New("a drawing is missing")
		}
		return hand(l.Drawing)
	}
	if r.lines {
		for err == nil && left > 0 {
			err = one()
		}
	} else {
		err = walkReport(dec, func(string) error {
			var skip json.RawMessage
			return dec.Decode(&skip)
		}, one)
	}
	var h handed
	switch {
	case err == nil || errors.Is(err, errEnough) || left == 0 && r.end == nil:
		return nil
	case errors.As(err, &h):
		return h.error
	}
	return fmt.Errorf("%s: %w", r.name(), err)
}

// handed is an error of whoever takes the drawings, not of the file.
type handed struct{ error }
