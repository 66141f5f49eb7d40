package store

import (
	"reflect"
	"sync"
	"unsafe"
)

// floatCounts says of types how many floats they are, if they are nothing else.
var floatCounts sync.Map // reflect.Type -> int, 0 for other types

// floatsOf is a slice of floats, or of structs and arrays that hold nothing but
// floats, seen as the floats it lies in memory as. Curves and feeds are such,
// they are nearly all that is kept, and one by one they cost ten times as much.
func floatsOf(v reflect.Value) ([]float64, bool) {
	n := floatCount(v.Type().Elem())
	if n == 0 || v.Len() == 0 {
		return nil, n > 0
	}
	return unsafe.Slice((*float64)(v.UnsafePointer()), n*v.Len()), true
}

func floatCount(t reflect.Type) int {
	if n, ok := floatCounts.Load(t); ok {
		return n.(int)
	}
	n := 0
	switch t.Kind() {
	case reflect.Float64:
		n = 1
	case reflect.Array:
		n = t.Len() * floatCount(t.Elem())
	case reflect.Struct:
		for _, i := range fields(t) {
			k := floatCount(t.Field(i).Type)
			if k == 0 {
				n = 0
				break
			}
			n += k
		}
	}
	if uintptr(n)*unsafe.Sizeof(float64(0)) != t.Size() {
		n = 0
	}
	floatCounts.Store(t, n)
	return n
}
