package store

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

const roomy = 1 << 30

// files lists all files below a folder.
func files(t *testing.T, dir string) (names []string, size int64) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		names, size = append(names, name), size+info.Size()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names, size
}

func TestPutAndGet(t *testing.T) {
	dir := t.TempDir()
	s := Open(dir, roomy)
	long := bytes.Repeat([]byte("0123456789"), 10_000) // more than one read
	for i, entry := range [][][]byte{{[]byte("one")}, {[]byte("a"), nil, []byte("c")}, {long, []byte("after")}, {}} {
		k := KeyOf(i)
		if _, ok := s.Get(k, 0); ok {
			t.Fatal("found before it was put")
		}
		s.Put(k, entry...)
		for want := range len(entry) + 1 {
			got, ok := Open(dir, roomy).Get(k, want)
			if !ok || len(got) != want {
				t.Fatalf("entry %d: %d of %d sections", i, len(got), want)
			}
			for j := range got {
				if !bytes.Equal(got[j], entry[j]) {
					t.Errorf("entry %d: section %d is %.20q", i, j, got[j])
				}
			}
		}
		if _, ok := s.Get(k, len(entry)+1); ok {
			t.Error("a section that is not there was found")
		}
	}
	k := KeyOf(0)
	s.Put(k, []byte("one"), []byte("two")) // another run found more
	if got, ok := s.Get(k, 2); !ok || string(got[1]) != "two" {
		t.Error("an entry is not replaced")
	}
	if s.Err() != nil {
		t.Error(s.Err())
	}
}

func TestNoStore(t *testing.T) {
	var s *Store
	s.Put(KeyOf(1), []byte("x"))
	if _, ok := s.Get(KeyOf(1), 0); ok || s.Err() != nil {
		t.Error("nothing keeps something")
	}
	s.Close()
}

// Whatever happens to a file, what is found is what was put, or nothing.
func TestDamagedFiles(t *testing.T) {
	dir := t.TempDir()
	s := Open(dir, roomy)
	k := KeyOf("entry")
	sections := [][]byte{[]byte("first section"), []byte("second")}
	s.Put(k, sections...)
	name := s.file(k)
	whole, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	try := func(what string, data []byte) {
		t.Helper()
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if got, ok := s.Get(k, 2); ok {
			t.Errorf("%s: found %q", what, got)
		}
	}
	for n := range whole {
		try(fmt.Sprintf("cut to %d bytes", n), whole[:n])
		bad := bytes.Clone(whole)
		bad[n] ^= 1
		try(fmt.Sprintf("byte %d changed", n), bad)
	}
	// A file that was put in another's place is not that.
	other := KeyOf("other")
	s.Put(other, []byte("x"))
	if err := os.Rename(s.file(other), name); err != nil {
		t.Fatal(err)
	}
	if _, ok := s.Get(k, 1); ok {
		t.Error("another entry was found")
	}
	s.Put(k, sections...)
	if got, ok := s.Get(k, 2); !ok || string(got[1]) != "second" {
		t.Error("a damaged entry is not replaced")
	}
}

// unpackable is data that does not get smaller when it is packed.
func unpackable(size int) []byte {
	data := make([]byte, size)
	rand.NewChaCha8([32]byte{1}).Read(data)
	return data
}

// What repeats itself takes less room in the store, and comes back whole.
func TestEntriesArePacked(t *testing.T) {
	dir := t.TempDir()
	s := Open(dir, roomy)
	entry := [][]byte{bytes.Repeat([]byte(`{"id":"C1","kind":"round"}`), 10000), nil, unpackable(100 << 10), []byte("x")}
	s.Put(KeyOf(1), entry...)
	if _, size := files(t, dir); size > 130<<10 {
		t.Errorf("%d bytes are kept", size)
	}
	got, ok := s.Get(KeyOf(1), len(entry))
	if !ok || len(got) != len(entry) {
		t.Fatalf("%d sections, found %t", len(got), ok)
	}
	for i := range entry {
		if !bytes.Equal(got[i], entry[i]) {
			t.Errorf("section %d: %d bytes, put were %d", i, len(got[i]), len(entry[i]))
		}
	}
}

func TestPrune(t *testing.T) {
	dir := t.TempDir()
	const limit = 64 * 64 << 10 // 64 KiB a shelf
	s := Open(dir, limit)
	entry := unpackable(8 << 10)
	var keys []Key
	for i := 0; len(keys) < 12; i++ {
		if k := KeyOf(i); k.shelf() == 7 {
			keys = append(keys, k)
		}
	}
	for i, k := range keys {
		s.Put(k, entry)
		used := time.Now().Add(-time.Duration(i+2) * 24 * time.Hour) // the later ones were used longer ago
		if err := os.Chtimes(s.file(k), used, used); err != nil {
			t.Fatal(err)
		}
	}
	oldest := len(keys) - 1
	if _, ok := s.Get(keys[oldest], 1); !ok { // and this one is used now
		t.Fatal("not found")
	}
	for name, age := range map[string]time.Duration{temporary + "old": 2 * orphan, temporary + "new": 0} {
		file := filepath.Join(s.shelf(7), name)
		if err := os.WriteFile(file, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(file, time.Now().Add(-age), time.Now().Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	var left []int
	for i, k := range keys {
		if _, ok := s.Get(k, 1); ok {
			left = append(left, i)
		}
	}
	if got := fmt.Sprint(left); got != fmt.Sprint([]int{0, 1, 2, 3, 4, 5, oldest}) {
		t.Errorf("left are %s", got)
	}
	if _, err := os.Stat(filepath.Join(s.shelf(7), temporary+"old")); err == nil {
		t.Error("what a killed run left is still there")
	}
	if _, err := os.Stat(filepath.Join(s.shelf(7), temporary+"new")); err != nil {
		t.Error("what another run is writing is gone")
	}

	// What is too big for a shelf is not kept, and a run writes no more than fits.
	big := KeyOf("big")
	s.Put(big, unpackable(limit/shelves))
	if _, ok := s.Get(big, 1); ok {
		t.Error("an entry as big as its shelf was kept")
	}
	for i := range 2 * limit / len(entry) {
		s.Put(KeyOf("more", i), entry)
	}
	s.Close()
	if _, size := files(t, dir); size > limit {
		t.Errorf("%d bytes are kept, more than %d", size, limit)
	}
	if s.Err() != nil {
		t.Error(s.Err())
	}
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(dir, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s := Open(dir, roomy)
	for i := range 3 {
		s.Put(KeyOf(i), []byte("x"))
		if _, ok := s.Get(KeyOf(i), 1); ok {
			t.Error("found")
		}
	}
	if s.Err() == nil {
		t.Error("no reason is given")
	}
	s.Close()
}

// Many at once write and read the same entries, and all that is found is whole.
func TestManyAtOnce(t *testing.T) {
	dir := t.TempDir()
	var group sync.WaitGroup
	for w := range 4 {
		s := Open(dir, roomy) // as another program would
		group.Go(func() {
			defer s.Close()
			for i := range 300 {
				n := (i*7 + w) % 40
				want := bytes.Repeat([]byte{byte(n)}, 1000*n)
				if got, ok := s.Get(KeyOf(n), 1); ok && !bytes.Equal(got[0], want) {
					t.Errorf("entry %d is not what was put", n)
				}
				s.Put(KeyOf(n), want)
			}
			if s.Err() != nil {
				t.Error(s.Err())
			}
		})
	}
	group.Wait()
	names, _ := files(t, dir)
	for _, name := range names {
		if strings.HasPrefix(filepath.Base(name), temporary) {
			t.Errorf("%s is left", name)
		}
	}
	if len(names) != 40 {
		t.Errorf("%d files", len(names))
	}
}
