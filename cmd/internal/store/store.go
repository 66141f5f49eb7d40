package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/golang/snappy"
)

// Key is the hash of everything that an entry depends on.
type Key [sha256.Size]byte

// KeyOf hashes values of any types that Encode takes.
func KeyOf(values ...any) Key {
	h := sha256.New()
	for _, v := range values {
		data := Encode(v)
		var size [8]byte
		binary.LittleEndian.PutUint64(size[:], uint64(len(data)))
		h.Write(size[:])
		h.Write(data)
	}
	return Key(h.Sum(nil))
}

// And is the key of what depends on more.
func (k Key) And(more ...[]byte) Key {
	h := sha256.New()
	h.Write(k[:])
	for _, m := range more {
		var size [8]byte
		binary.LittleEndian.PutUint64(size[:], uint64(len(m)))
		h.Write(size[:])
		h.Write(m)
	}
	return Key(h.Sum(nil))
}

// Store is a folder of entries. A nil store keeps nothing and finds nothing. It
// is safe for any number of goroutines and programs at once.
type Store struct {
	dir   string
	limit int64 // bytes that all entries may take

	written atomic.Int64
	stopped atomic.Bool // nothing more is written
	mutex   sync.Mutex
	failure error        // why, if something failed
	shelves map[int]bool // written to
}

const (
	shelves = 64 // how many folders share the entries
	// form is the name of the form of files; another form is another folder, so
	// that programs of two versions do not see each other's files.
	form = "2"
	// fresh is how old an entry's time of use may be before a use renews it.
	fresh = time.Hour
	// orphan is the age from which a temporary file is nobody's any more.
	orphan = time.Hour
	// kept is the share of the limit that pruning leaves.
	kept = 0.9
)

// Open returns the store in a folder, which may be missing, and its size limit
// in bytes.
func Open(dir string, limit int64) *Store {
	return &Store{dir: filepath.Join(dir, form), limit: limit, shelves: map[int]bool{}}
}

// Files begin with this, the key, and how many sections follow; then, of each
// section, its length and checksum as it is packed (snappy: a fifth of its size at
// a gigabyte a second), and the checksum of all that so far.
const magic = "brstore" + form

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func (k Key) shelf() int { return int(k[0]) % shelves }

func (s *Store) shelf(n int) string { return filepath.Join(s.dir, hex.EncodeToString([]byte{byte(n)})) }

func (s *Store) file(k Key) string {
	return filepath.Join(s.shelf(k.shelf()), hex.EncodeToString(k[:]))
}

// firstRead is how much of a file is read at once; more than most have.
const firstRead = 32 << 10

var buffers = sync.Pool{New: func() any { return new([firstRead]byte) }}

// Get returns the first sections of an entry, as many as are wanted. It finds
// nothing if the entry has fewer, or any of them is damaged.
func (s *Store) Get(k Key, want int) ([][]byte, bool) {
	if s == nil {
		return nil, false
	}
	name := s.file(k)
	f, err := os.Open(name)
	if err != nil {
		return nil, false
	}
	defer f.Close()
	buffer := buffers.Get().(*[firstRead]byte)
	defer buffers.Put(buffer)
	n, err := io.ReadFull(f, buffer[:])
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, false
	}
	sections, ok := sections(f, buffer[:n], k, want)
	if !ok {
		return nil, false
	}
	if info, err := f.Stat(); err == nil && time.Since(info.ModTime()) > fresh {
		now := time.Now()
		os.Chtimes(name, now, now) // what cannot be renewed goes a little earlier
	}
	return sections, true
}

// sections reads a file's sections; begun is how it begins.
func sections(f io.ReaderAt, begun []byte, k Key, want int) ([][]byte, bool) {
	const fixed = len(magic) + len(k) + 1
	if len(begun) < fixed || string(begun[:len(magic)]) != magic || !bytes.Equal(begun[len(magic):fixed-1], k[:]) {
		return nil, false
	}
	count := int(begun[fixed-1])
	head := fixed + 12*count
	if count < want || len(begun) < head+4 || crc32.Checksum(begun[:head], castagnoli) != binary.LittleEndian.Uint32(begun[head:]) {
		return nil, false
	}
	var size int64
	for i := range want {
		n := binary.LittleEndian.Uint64(begun[fixed+12*i:])
		if n > maxSection {
			return nil, false
		}
		size += int64(n)
	}
	packed := begun[head+4:]
	if have := int64(len(packed)); have < size {
		packed = make([]byte, size)
		at := copy(packed, begun[head+4:])
		if _, err := f.ReadAt(packed[at:], int64(head+4+at)); err != nil {
			return nil, false
		}
	}
	out := make([][]byte, want)
	for i := range want {
		n := binary.LittleEndian.Uint64(begun[fixed+12*i:])
		section := packed[:n]
		packed = packed[n:]
		if crc32.Checksum(section, castagnoli) != binary.LittleEndian.Uint32(begun[fixed+12*i+8:]) {
			return nil, false
		}
		if n == 0 {
			continue
		}
		var err error
		if out[i], err = snappy.Decode(nil, section); err != nil {
			return nil, false
		}
	}
	return out, true
}

// maxSection bounds a section, in bytes.
const maxSection = 1 << 32

// Put keeps an entry. What is too big for its shelf is not kept, and a run that
// has written as much as the store may hold writes no more. After a failure
// nothing more is written; Err says why.
func (s *Store) Put(k Key, sections ...[]byte) {
	if s == nil || s.stopped.Load() {
		return
	}
	head := len(magic) + len(k) + 1 + 12*len(sections) + 4
	size := head
	for _, sec := range sections {
		most := snappy.MaxEncodedLen(len(sec))
		if most < 0 { // more than can be packed at once
			return
		}
		size += most
	}
	room := packing.Get().(*[]byte)
	defer packing.Put(room)
	*room = slices.Grow((*room)[:0], size)
	data := append(append(append((*room)[:0], magic...), k[:]...), byte(len(sections)))
	at := head
	for _, sec := range sections {
		var packed []byte
		if len(sec) > 0 {
			packed = snappy.Encode((*room)[at:at+snappy.MaxEncodedLen(len(sec))], sec)
		}
		at += len(packed)
		data = binary.LittleEndian.AppendUint64(data, uint64(len(packed)))
		data = binary.LittleEndian.AppendUint32(data, crc32.Checksum(packed, castagnoli))
	}
	data = binary.LittleEndian.AppendUint32(data, crc32.Checksum(data, castagnoli))[:at]
	if int64(at) > s.limit/shelves/2 {
		return
	}
	if s.written.Add(int64(at)) > s.limit {
		s.stopped.Store(true)
		return
	}
	if err := s.write(k, data); err != nil {
		s.stopped.Store(true)
		s.mutex.Lock()
		defer s.mutex.Unlock()
		if s.failure == nil {
			s.failure = err
		}
	}
}

// packing is room for entries on their way out.
var packing = sync.Pool{New: func() any { return new([]byte) }}

// temporary begins the names of files that are being written.
const temporary = ".tmp-"

func (s *Store) write(k Key, data []byte) error {
	shelf := s.shelf(k.shelf())
	s.mutex.Lock()
	s.shelves[k.shelf()] = true
	s.mutex.Unlock()
	f, err := os.CreateTemp(shelf, temporary)
	if errors.Is(err, fs.ErrNotExist) {
		if err = os.MkdirAll(shelf, 0o700); err == nil {
			f, err = os.CreateTemp(shelf, temporary)
		}
	}
	if err != nil {
		return err
	}
	// Not synced: after a power cut the checksums tell.
	_, err = f.Write(data)
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err == nil {
		if err = os.Rename(f.Name(), s.file(k)); err == nil {
			return nil
		}
		if _, there := os.Stat(s.file(k)); there == nil {
			err = nil // another run has it open, on a system that minds
		}
	}
	os.Remove(f.Name())
	return err
}

// Err is why entries could not be written, or nil.
func (s *Store) Err() error {
	if s == nil {
		return nil
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.failure
}

// Close prunes the shelves that were written to. Each may hold its share of the
// limit; beyond it the entries used longest ago go.
func (s *Store) Close() {
	if s == nil {
		return
	}
	for n := range s.shelves {
		prune(s.shelf(n), s.limit/shelves)
	}
}

// prune brings a shelf under its limit. Another run may do so at the same time.
func prune(shelf string, limit int64) {
	files, err := os.ReadDir(shelf)
	if err != nil {
		return
	}
	type entry struct {
		name string
		size int64
		used time.Time
	}
	var entries []entry
	var size int64
	for _, file := range files {
		info, err := file.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		name := filepath.Join(shelf, file.Name())
		if strings.HasPrefix(file.Name(), temporary) {
			if time.Since(info.ModTime()) > orphan {
				os.Remove(name)
			}
			continue
		}
		entries = append(entries, entry{name, info.Size(), info.ModTime()})
		size += info.Size()
	}
	if size <= limit {
		return
	}
	slices.SortFunc(entries, func(a, b entry) int { return a.used.Compare(b.used) })
	for _, e := range entries {
		if size <= int64(kept*float64(limit)) {
			return
		}
		if os.Remove(e.name) == nil {
			size -= e.size
		}
	}
}

func sortStrings(keys []reflect.Value) {
	slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
}
