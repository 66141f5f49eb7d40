package report

import (
	"bufio"
	"bytes"
	"io"
	"os"
)

// spool keeps output that has to wait: in memory, and beyond a limit in a
// temporary file, so that memory stays bounded for any number of drawings.
type spool struct {
	memory bytes.Buffer
	file   *os.File
	out    *bufio.Writer // to the file
	size   int64         // written so far
	gone   bool          // the file has no name any more
	most   int           // bytes that wait in memory; 0 for spoolMemory
	dir    string        // where the file is made; empty for the system's place
}

// spoolMemory is how much waits in memory, in bytes.
const spoolMemory = 4 << 20

func (s *spool) Write(p []byte) (int, error) {
	most := s.most
	if most == 0 {
		most = spoolMemory
	}
	if s.file == nil && s.memory.Len()+len(p) > most {
		f, err := os.CreateTemp(s.dir, ".burrcast-*.tmp")
		if err != nil {
			return 0, err
		}
		// Where a file may go while it is open, nothing is left of a run that is
		// killed.
		s.gone = os.Remove(f.Name()) == nil
		s.file, s.out = f, bufio.NewWriterSize(f, 1<<16)
		if _, err := s.memory.WriteTo(s.out); err != nil {
			return 0, err
		}
		s.memory = bytes.Buffer{}
	}
	s.size += int64(len(p))
	if s.file != nil {
		return s.out.Write(p)
	}
	return s.memory.Write(p)
}

// copyTo writes all of it.
func (s *spool) copyTo(w io.Writer) error {
	return s.copyPiece(w, 0, s.size)
}

// copyPiece writes n bytes from an offset on.
func (s *spool) copyPiece(w io.Writer, from, n int64) error {
	if s.file == nil {
		_, err := w.Write(s.memory.Bytes()[from : from+n])
		return err
	}
	if err := s.out.Flush(); err != nil {
		return err
	}
	_, err := io.Copy(w, io.NewSectionReader(s.file, from, n))
	return err
}

// reader reads all of it from the start. Nothing may be written meanwhile.
func (s *spool) reader() (io.Reader, error) {
	if s.file == nil {
		return bytes.NewReader(s.memory.Bytes()), nil
	}
	if err := s.out.Flush(); err != nil {
		return nil, err
	}
	return bufio.NewReaderSize(io.NewSectionReader(s.file, 0, s.size), 1<<16), nil
}

// drop removes the temporary file. What it held has been written or is lost
// with the run, so a failure here changes nothing.
func (s *spool) drop() {
	if s.file == nil {
		return
	}
	s.file.Close()
	if !s.gone {
		os.Remove(s.file.Name())
	}
	s.file = nil
}
