package cli

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"
)

func TestInOrder(t *testing.T) {
	items := make([]int, 500)
	for i := range items {
		items[i] = i
	}
	for _, workers := range []int{1, 2, 7, 1000} {
		var running, most atomic.Int64
		var got []int
		err := inOrder(t.Context(), workers, items, func(i int) int {
			if n := running.Add(1); n > most.Load() {
				most.Store(n)
			}
			if i%50 == 0 {
				time.Sleep(time.Millisecond) // a slow one in front of quick ones
			}
			running.Add(-1)
			return i * i
		}, func(r int) error { got = append(got, r); return nil })
		if err != nil || len(got) != len(items) {
			t.Fatalf("%d workers: %d results, %v", workers, len(got), err)
		}
		for i, r := range got {
			if r != i*i {
				t.Fatalf("%d workers: result %d is %d", workers, i, r)
			}
		}
		if most.Load() > int64(workers) {
			t.Errorf("%d ran at once, not %d", most.Load(), workers)
		}
	}
}

func TestInOrderWaitsForASlowOne(t *testing.T) {
	items := make([]int, 1000)
	for i := range items {
		items[i] = i
	}
	var begun atomic.Int64
	release := make(chan struct{})
	go func() {
		time.Sleep(50 * time.Millisecond)
		close(release)
	}()
	var behind int64
	err := inOrder(t.Context(), 4, items, func(i int) int {
		begun.Add(1)
		if i == 0 {
			<-release
			behind = begun.Load()
		}
		return i
	}, func(int) error { return nil })
	if err != nil {
		t.Fatal(err)
	}
	if behind > ahead*4+4+1 {
		t.Errorf("%d items were begun behind the slow one", behind)
	}
}

func TestInOrderStops(t *testing.T) {
	items := make([]int, 10000)
	broken := errors.New("broken pipe")
	var begun atomic.Int64
	n := 0
	err := inOrder(t.Context(), 3, items, func(int) int { begun.Add(1); return 0 }, func(int) error {
		if n++; n == 5 {
			return broken
		}
		return nil
	})
	if !errors.Is(err, broken) || n != 5 {
		t.Errorf("stopped after %d with %v", n, err)
	}
	if begun.Load() > 100 {
		t.Errorf("%d items were begun after the failure", begun.Load())
	}

	ctx, cancel := context.WithCancel(t.Context())
	n = 0
	begun.Store(0)
	err = inOrder(ctx, 3, items, func(int) int { begun.Add(1); return 0 }, func(int) error {
		if n++; n == 5 {
			cancel()
		}
		return nil
	})
	if err != nil || begun.Load() > 100 || int64(n) != begun.Load() {
		t.Errorf("cancelled: %d begun, %d handed on, %v", begun.Load(), n, err)
	}
}
