package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"sync"
)

// Encode writes a value made of structs, pointers, slices, arrays, maps from
// strings, strings, numbers and booleans as bytes from which Decode makes the
// same value: floats bit for bit, a nil slice as nil. Equal strings are written
// once. The bytes do not name their types, so a key has to.
//
//  1. Numbers that count are varints, floats eight bytes, little end first.
//  2. A string is its number in the table of strings met, or 0 and itself.
//  3. A slice is its length and one, or 0 for nil; a pointer is 1 and what it
//     points to, or 0; a map is its length and one and its entries by key.
//
// It panics on a type that it cannot keep whole, such as a struct with fields
// that are not exported: that is a mistake of the program.
func Encode(v any) []byte {
	e := encoder{out: make([]byte, 0, 4096), strings: map[string]uint64{}}
	e.value(reflect.ValueOf(v))
	return e.out
}

type encoder struct {
	out     []byte
	strings map[string]uint64
}

func (e *encoder) count(n uint64) { e.out = binary.AppendUvarint(e.out, n) }

func (e *encoder) text(s string) {
	if n, ok := e.strings[s]; ok {
		e.count(n)
		return
	}
	e.strings[s] = uint64(len(e.strings)) + 1
	e.count(0)
	e.count(uint64(len(s)))
	e.out = append(e.out, s...)
}

func (e *encoder) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Bool:
		b := byte(0)
		if v.Bool() {
			b = 1
		}
		e.out = append(e.out, b)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		e.out = binary.AppendVarint(e.out, v.Int())
	case reflect.Uint8:
		e.out = append(e.out, byte(v.Uint()))
	case reflect.Uint, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		e.count(v.Uint())
	case reflect.Float64, reflect.Float32:
		e.out = binary.LittleEndian.AppendUint64(e.out, math.Float64bits(v.Float()))
	case reflect.String:
		e.text(v.String())
	case reflect.Pointer:
		if v.IsNil() {
			e.out = append(e.out, 0)
			return
		}
		e.out = append(e.out, 1)
		e.value(v.Elem())
	case reflect.Slice:
		if v.IsNil() {
			e.count(0)
			return
		}
		e.count(uint64(v.Len()) + 1)
		if v.Type().Elem().Kind() == reflect.Uint8 {
			e.out = append(e.out, v.Bytes()...)
			return
		}
		if all, ok := floatsOf(v); ok {
			out := slices.Grow(e.out, 8*len(all))
			for _, f := range all {
				out = binary.LittleEndian.AppendUint64(out, math.Float64bits(f))
			}
			e.out = out
			return
		}
		for i := range v.Len() {
			e.value(v.Index(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			e.value(v.Index(i))
		}
	case reflect.Map:
		e.mapping(v)
	case reflect.Struct:
		for _, i := range fields(v.Type()) {
			e.value(v.Field(i))
		}
	default:
		panic(fmt.Sprintf("implementation error: %v cannot be kept", v.Type()))
	}
}

// mapping writes the entries in the order of their keys, so that equal maps are
// equal bytes.
func (e *encoder) mapping(v reflect.Value) {
	if v.Type().Key().Kind() != reflect.String {
		panic(fmt.Sprintf("implementation error: %v cannot be kept", v.Type()))
	}
	if v.IsNil() {
		e.count(0)
		return
	}
	e.count(uint64(v.Len()) + 1)
	keys := v.MapKeys()
	sortStrings(keys)
	for _, k := range keys {
		e.text(k.String())
		e.value(v.MapIndex(k))
	}
}

// fieldLists are the fields of every struct type met.
var fieldLists sync.Map // reflect.Type -> []int

// fields lists the fields of a struct. A field of no name to others would be
// lost without a word, so there must be none.
func fields(t reflect.Type) []int {
	if list, ok := fieldLists.Load(t); ok {
		return list.([]int)
	}
	list := make([]int, 0, t.NumField())
	for i := range t.NumField() {
		if f := t.Field(i); !f.IsExported() {
			panic(fmt.Sprintf("implementation error: %v.%s cannot be kept", t, f.Name))
		}
		list = append(list, i)
	}
	fieldLists.Store(t, list)
	return list
}

// errDamaged is why bytes give no value.
var errDamaged = errors.New("not what was kept")

// Decode makes the value that Encode was given; v points to where it goes. The
// strings share one copy of data. The error is for bytes of something else.
func Decode(data []byte, v any) (err error) {
	d := decoder{in: data, all: string(data)}
	defer func() {
		if p := recover(); p != nil {
			if p != any(errDamaged) {
				panic(p)
			}
			err = errDamaged
		}
	}()
	d.value(reflect.ValueOf(v).Elem())
	if d.at != len(data) {
		return errDamaged
	}
	return nil
}

type decoder struct {
	in      []byte
	all     string // the same
	at      int
	strings []string
}

func (d *decoder) damaged() { panic(errDamaged) }

func (d *decoder) count() uint64 {
	n, k := binary.Uvarint(d.in[d.at:])
	if k <= 0 {
		d.damaged()
	}
	d.at += k
	return n
}

// length reads a count of things that take a byte each at least, so it is
// bounded by what is left.
func (d *decoder) length() int {
	n := d.count()
	if n > uint64(len(d.in)-d.at) {
		d.damaged()
	}
	return int(n)
}

func (d *decoder) take(n int) []byte {
	if n > len(d.in)-d.at {
		d.damaged()
	}
	d.at += n
	return d.in[d.at-n : d.at]
}

func (d *decoder) text() string {
	n := d.count()
	if n > 0 {
		if n > uint64(len(d.strings)) {
			d.damaged()
		}
		return d.strings[n-1]
	}
	size := d.length()
	s := d.all[d.at : d.at+size]
	d.at += size
	d.strings = append(d.strings, s)
	return s
}

// size reads the length of a slice or map; ok is false for nil.
func (d *decoder) size() (n int, ok bool) {
	c := d.count()
	if c == 0 {
		return 0, false
	}
	if c-1 > uint64(len(d.in)-d.at) {
		d.damaged()
	}
	return int(c - 1), true
}

func (d *decoder) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(d.take(1)[0] != 0)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		n, k := binary.Varint(d.in[d.at:])
		if k <= 0 {
			d.damaged()
		}
		d.at += k
		v.SetInt(n)
	case reflect.Uint8:
		v.SetUint(uint64(d.take(1)[0]))
	case reflect.Uint, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		v.SetUint(d.count())
	case reflect.Float64, reflect.Float32:
		v.SetFloat(math.Float64frombits(binary.LittleEndian.Uint64(d.take(8))))
	case reflect.String:
		v.SetString(d.text())
	case reflect.Pointer:
		if d.take(1)[0] == 0 {
			v.SetZero()
			return
		}
		p := reflect.New(v.Type().Elem())
		d.value(p.Elem())
		v.Set(p)
	case reflect.Slice:
		d.slice(v)
	case reflect.Array:
		for i := range v.Len() {
			d.value(v.Index(i))
		}
	case reflect.Map:
		n, ok := d.size()
		if !ok {
			v.SetZero()
			return
		}
		v.Set(reflect.MakeMapWithSize(v.Type(), n))
		for range n {
			key := reflect.New(v.Type().Key()).Elem()
			key.SetString(d.text())
			item := reflect.New(v.Type().Elem()).Elem()
			d.value(item)
			v.SetMapIndex(key, item)
		}
	case reflect.Struct:
		for _, i := range fields(v.Type()) {
			d.value(v.Field(i))
		}
	default:
		panic(fmt.Sprintf("implementation error: %v cannot be kept", v.Type()))
	}
}

func (d *decoder) slice(v reflect.Value) {
	n, ok := d.size()
	if !ok {
		v.SetZero()
		return
	}
	if v.Type().Elem().Kind() == reflect.Uint8 {
		v.SetBytes(append(make([]byte, 0, n), d.take(n)...))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), n, n))
	if all, ok := floatsOf(v); ok {
		data := d.take(8 * len(all))
		for i := range all {
			all[i] = math.Float64frombits(binary.LittleEndian.Uint64(data[8*i:]))
		}
		return
	}
	for i := range n {
		d.value(v.Index(i))
	}
}
