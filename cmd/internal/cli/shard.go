package cli

import (
	"archive/zip"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"burrcast/cmd/internal/report"
)

// A job is split by content: the shard of a drawing follows from the bytes of
// its file and from nothing else, so that machines that see the same files
// agree without talking, whatever the files are called and wherever they are
// mounted, and equal drawings go to one machine.
//
//  1. Every machine lists all drawings, as an unsplit run does, and takes the
//     content print of each: SHA-256 of what is stored, of a packed drawing of
//     what it unpacks to.
//  2. A drawing belongs to shard 1 + (first 8 bytes of the print) mod N.
//  3. It keeps its number in the whole list, so that results can be put in the
//     order of an unsplit run again, and the run keeps a print of all prints,
//     so that shards of different jobs are told apart.

// mostShards bounds N; beyond it most shards of any job would be empty.
const mostShards = 1_000_000

// shard is one of several equal shares; the zero value is the whole.
type shard struct{ number, of int }

// parseShard reads I/N.
func parseShard(s string) (shard, error) {
	first, second, ok := strings.Cut(s, "/")
	number, err1 := strconv.Atoi(first)
	of, err2 := strconv.Atoi(second)
	switch {
	case !ok || err1 != nil || err2 != nil:
		return shard{}, fmt.Errorf("--shard %q: not I/N, such as 1/4 for the first of four", s)
	case of < 1 || of > mostShards:
		return shard{}, fmt.Errorf("--shard %s: not between 1 and %d shards", s, mostShards)
	case number < 1 || number > of:
		return shard{}, fmt.Errorf("--shard %s: shards are numbered from 1 to %d", s, of)
	}
	return shard{number, of}, nil
}

// split picks the shard's drawings and says what they are a share of.
func (s shard) split(ctx context.Context, workers int, all []source) ([]source, *report.Split, error) {
	if s.of == 0 {
		return all, nil, nil
	}
	whole := sha256.New()
	var mine []source
	n := 0
	err := inOrder(ctx, workers, all, contentPrint, func(print [sha256.Size]byte) error {
		whole.Write(print[:])
		if binary.BigEndian.Uint64(print[:])%uint64(s.of) == uint64(s.number-1) {
			src := all[n]
			src.index = n + 1
			mine = append(mine, src)
		}
		n++
		return nil
	})
	if err == nil && n < len(all) {
		err = fmt.Errorf("interrupted while %d drawings were split", len(all))
	}
	return mine, &report.Split{Shards: []int{s.number}, Of: s.of, Drawings: len(all), Content: printed(whole.Sum(nil))}, err
}

// contentPrint is the print of what a drawing holds. What cannot be read has a
// print of its own: another machine may be able to read it, and then the jobs
// differ, and joining them says so.
func contentPrint(s source) (print [sha256.Size]byte) {
	h := sha256.New()
	if err := s.copyTo(h); err != nil {
		h.Reset()
		h.Write([]byte("cannot be read"))
	}
	h.Sum(print[:0])
	return print
}

// mostPrinted bounds how much of one drawing is looked at: what is larger is
// told apart by its beginning, and no trap unpacks for ever.
const mostPrinted = 1 << 30

// copyTo writes what a drawing holds, unpacked.
func (s source) copyTo(w io.Writer) error {
	if s.err != nil {
		return s.err
	}
	var in io.Reader
	if s.zip != "" {
		f, size, err := openSized(s.zip)
		if err != nil {
			return err
		}
		defer f.Close()
		z, err := zip.NewReader(f, size)
		if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
			return err
		}
		m, err := openMember(z, s.member)
		if err != nil {
			return err
		}
		defer m.Close()
		in = m
	} else {
		info, err := os.Stat(s.path)
		switch {
		case err != nil:
			return plain(err)
		case !info.Mode().IsRegular(): // a pipe can be read once only
			return errors.New("not a file")
		}
		f, err := os.Open(s.path)
		if err != nil {
			return plain(err)
		}
		defer f.Close()
		in = f
	}
	head := make([]byte, 2)
	n, err := io.ReadFull(in, head)
	in = io.MultiReader(strings.NewReader(string(head[:n])), in)
	if err == nil && head[0] == 0x1f && head[1] == 0x8b {
		packed, err := gzip.NewReader(in)
		if err != nil {
			return err
		}
		in = packed
	}
	_, err = io.Copy(w, io.LimitReader(in, mostPrinted))
	return err
}

// openMember opens the first entry of a name.
func openMember(z *zip.Reader, name string) (io.ReadCloser, error) {
	for _, f := range z.File {
		if f.Name == name {
			return f.Open()
		}
	}
	return nil, fmt.Errorf("no %s in the archive", name)
}
