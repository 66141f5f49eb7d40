package cli

import (
	"context"
	"sync"
)

// ahead is how many drawings a worker may be ahead of a slow one: with few, the
// others wait for it.
const ahead = 24

// inOrder works on items with some workers and hands the results on in the
// order of the items. At most ahead results a worker wait for a slow one in front
// of them, so memory does not grow with the number of items. When the context
// ends, items not begun are left out; what was begun is handed on.
func inOrder[T, R any](ctx context.Context, workers int, items []T, do func(T) R, hand func(R) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	type job struct {
		item T
		out  chan R
	}
	jobs := make(chan job)
	queue := make(chan chan R, ahead*workers)
	var group sync.WaitGroup
	for range min(workers, len(items)) {
		group.Go(func() {
			for j := range jobs {
				j.out <- do(j.item)
			}
		})
	}
	group.Go(func() {
		defer close(queue)
		defer close(jobs)
		for _, item := range items {
			if ctx.Err() != nil {
				return
			}
			out := make(chan R, 1)
			select {
			case jobs <- job{item, out}:
			case <-ctx.Done():
				return
			}
			// A worker has the job, so its place in the queue is never empty.
			queue <- out
		}
	})
	var err error
	for out := range queue {
		r := <-out
		if err != nil {
			continue // only emptying the queue
		}
		if err = hand(r); err != nil {
			stop()
		}
	}
	group.Wait()
	return err
}
