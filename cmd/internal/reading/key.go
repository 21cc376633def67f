package reading

// Keys of what is kept: the SHA-256 (FIPS 180-4) of the stage's name and of everything that the stage depends on, the
// keys of earlier stages among it. Settings go in whole, field by field, so that a field that is new is a part of the
// key by itself.

import (
	"crypto/sha256"
	"encoding/binary"
	"hash"
	"math"
	"reflect"
)

// A key stands for one stage and all its inputs.
type key [sha256.Size]byte

// keyOf makes the key of a stage from its inputs: numbers, texts, truths, keys, and structs, lists and pointers of
// them. Two inputs give one key only if they are equal; pointers are equal if what they point at is. Functions are left
// out: they are shown pictures, and no result depends on them.
func keyOf(stage string, inputs ...any) key {
	h := sha256.New()
	write(h, reflect.ValueOf(stage))
	for _, in := range inputs {
		write(h, reflect.ValueOf(in))
	}
	return key(h.Sum(nil))
}

func write(h hash.Hash, v reflect.Value) {
	number := func(x uint64) {
		var b [8]byte
		binary.LittleEndian.PutUint64(b[:], x)
		h.Write(b[:])
	}
	switch v.Kind() {
	case reflect.Bool:
		if v.Bool() {
			number(1)
		} else {
			number(0)
		}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		number(uint64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		number(v.Uint())
	case reflect.Float32, reflect.Float64:
		number(math.Float64bits(v.Float()))
	case reflect.String:
		number(uint64(v.Len()))
		h.Write([]byte(v.String()))
	case reflect.Slice, reflect.Array:
		number(uint64(v.Len()))
		for i := range v.Len() {
			write(h, v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			write(h, v.Field(i))
		}
	case reflect.Pointer:
		if v.IsNil() {
			number(0)
			return
		}
		number(1)
		write(h, v.Elem())
	case reflect.Func:
	default:
		panic("reading: no key can be made of a " + v.Kind().String())
	}
}
