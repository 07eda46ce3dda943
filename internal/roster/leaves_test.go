package roster

import (
	"fmt"
	"reflect"
	"testing"
	"time"
)

// Every field of a value, whatever its type: what has to hold for all fields is
// tested on all of them, and so for those that are still to come.

// Leaf is a place in a value that can be changed and put back.
type Leaf struct {
	Path   string
	Change func()
	Back   func()
}

// Leaves are all exported places below what p points to: single values; each
// list that is not empty, which loses its last element; each empty one, which
// becomes none, or none that becomes empty; each pointer, which becomes nil, or
// points to something empty when it is.
func Leaves(t testing.TB, p any) []Leaf {
	var all []Leaf
	walk(t, reflect.TypeOf(p).Elem().Name(), reflect.ValueOf(p).Elem(), func(path string, v reflect.Value, other func() reflect.Value) {
		was := reflect.New(v.Type()).Elem()
		was.Set(v)
		all = append(all, Leaf{path, func() { v.Set(other()) }, func() { v.Set(was) }})
	})
	return all
}

type visitor func(path string, v reflect.Value, other func() reflect.Value)

func walk(t testing.TB, path string, v reflect.Value, visit visitor) {
	_, text := v.Interface().(time.Time)
	switch {
	case text:
		visit(path, v, func() reflect.Value { return reflect.ValueOf(v.Interface().(time.Time).Add(time.Minute)) })
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				walk(t, path+"."+f.Name, v.Field(i), visit)
			}
		}
	case v.Kind() == reflect.Pointer:
		if v.IsNil() {
			visit(path, v, func() reflect.Value { return reflect.New(v.Type().Elem()) })
			return
		}
		visit(path, v, func() reflect.Value { return reflect.Zero(v.Type()) })
		walk(t, path, v.Elem(), visit)
	case v.Kind() == reflect.Slice:
		walkSlice(t, path, v, visit)
	case v.Kind() == reflect.Map:
		visit(path, v, func() reflect.Value { return without(v) })
	default:
		visit(path, v, func() reflect.Value { return otherValue(t, v) })
	}
}

func walkSlice(t testing.TB, path string, v reflect.Value, visit visitor) {
	visit(path, v, func() reflect.Value {
		switch {
		case v.Len() > 0:
			return v.Slice(0, v.Len()-1)
		case v.IsNil():
			return reflect.MakeSlice(v.Type(), 0, 0)
		}
		return reflect.Zero(v.Type())
	})
	for i := range v.Len() {
		if e := v.Index(i); e.Kind() == reflect.Pointer {
			walk(t, fmt.Sprintf("%s[%d]", path, i), e.Elem(), visit) // a list holds no nil
		} else {
			walk(t, fmt.Sprintf("%s[%d]", path, i), e, visit)
		}
	}
}

// without is a map that holds one key less, or one more when it is empty.
func without(v reflect.Value) reflect.Value {
	m := reflect.MakeMap(v.Type())
	for i, k := range v.MapKeys() {
		if i > 0 {
			m.SetMapIndex(k, v.MapIndex(k))
		}
	}
	if v.Len() == 0 {
		m.SetMapIndex(reflect.Zero(v.Type().Key()), reflect.Zero(v.Type().Elem()))
	}
	return m
}

func otherValue(t testing.TB, v reflect.Value) reflect.Value {
	o := reflect.New(v.Type()).Elem()
	switch v.Kind() {
	case reflect.String:
		o.SetString(v.String() + "x")
	case reflect.Float64:
		o.SetFloat(v.Float() + 0.75)
	case reflect.Int, reflect.Int64:
		o.SetInt(v.Int() + 1)
	case reflect.Uint8:
		o.SetUint(v.Uint() ^ 1)
	case reflect.Bool:
		o.SetBool(!v.Bool())
	default:
		t.Fatalf("no other value for a %s", v.Type())
	}
	return o
}

// Full fills every field below what p points to: lists and maps with one
// element, and everything else with something that is not its zero value.
func Full(t testing.TB, p any) { full(t, reflect.ValueOf(p).Elem()) }

func full(t testing.TB, v reflect.Value) {
	_, text := v.Interface().(time.Time)
	switch {
	case text:
		v.Set(reflect.ValueOf(time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)))
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				full(t, v.Field(i))
			}
		}
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		full(t, v.Elem())
	case v.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		full(t, v.Index(0))
	case v.Kind() == reflect.Map:
		key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		full(t, key)
		full(t, value)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(key, value)
	default:
		v.Set(otherValue(t, v))
	}
}
