package analyze

import (
	"cmp"
	"slices"
	"strconv"

	"github.com/golang/geo/r2"
)

// rowShare is the share of a part's size by which one place must lie lower than
// another to begin a row of its own. Places are computed to about 1e-9 of the
// size (mergeShare), so that rounding splits no row that was drawn as one; and a
// millionth is less than drafters set features apart.
const rowShare = 1e-6

// placed is a place and where in its list it stood.
type placed struct {
	r2.Point
	index int
}

// byPlace orders a list by rows from top to bottom and each row from left to
// right; size is the part's, mm.
//
//  1. Sort the places from top to bottom.
//  2. Begin a row wherever the next place lies lower than the last by more than
//     rowShare of the size. Rows are cut from the sorted places because "about as
//     high" is not transitive and can order nothing.
//  3. Sort each row from left to right, then from top to bottom; what lies in one
//     place keeps its order.
func byPlace[T any](list []T, size float64, where func(*T) r2.Point) {
	if len(list) < 2 {
		return
	}
	places := make([]placed, len(list))
	for k := range list {
		places[k] = placed{where(&list[k]), k}
	}
	slices.SortFunc(places, func(p, q placed) int { return cmp.Compare(q.Y, p.Y) })
	first := 0
	for k := 1; k <= len(places); k++ {
		if k < len(places) && !(places[k-1].Y-places[k].Y > rowShare*size) {
			continue
		}
		slices.SortFunc(places[first:k], func(p, q placed) int {
			return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(q.Y, p.Y), cmp.Compare(p.index, q.index))
		})
		first = k
	}
	permute(list, places)
}

// permute brings to each place of the list what stood at its index, every item
// moved once; the indices are used up.
func permute[T any](list []T, places []placed) {
	for start := range places {
		if places[start].index == start {
			continue
		}
		held, k := list[start], start
		for {
			from := places[k].index
			places[k].index = k
			if from == start {
				break
			}
			list[k] = list[from]
			k = from
		}
		list[k] = held
	}
}

// label gives the items of a list their ids: the letter and a number from 1. The
// ids share one string.
func label[T any](list []T, letter byte, id func(*T) *string) {
	text := make([]byte, 0, 6*len(list))
	for k := range list {
		text = strconv.AppendInt(append(text, letter), int64(k+1), 10)
	}
	rest, length, longer := string(text), 2, 10
	for k := range list {
		if k+1 == longer {
			length++
			longer *= 10
		}
		*id(&list[k]), rest = rest[:length], rest[length:]
	}
}
