package contour

// arena hands out slices of a few elements from larger ones: a drawing has many
// contours of one or four curves.
type arena[T any] struct{ left []T }

// take returns n zero elements. When the room is used up it is made for most, or
// for chunk elements if that is less.
func (a *arena[T]) take(n, most int) []T {
	const chunk = 128
	if len(a.left) < n {
		a.left = make([]T, max(n, min(most, chunk)))
	}
	out := a.left[:n:n]
	a.left = a.left[n:]
	return out
}
