package delivery_test

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

var writeShape = flag.Bool("write-shape", false, "write the shape of what is stored into testdata/upgrade/shape.golden")

const shapeGolden = "../../testdata/upgrade/shape.golden"

// The shape of everything that is stored as JSON is written down, so that
// nobody changes the stored form unawares.
func TestStoredShape(t *testing.T) {
	got := fmt.Sprintf("form %d\n", roster.SchemaVersion)
	for _, v := range []any{roster.Trip{}, roster.Act{}, roster.Envelope{}, roster.DeadLetter{}, message.Message{}, roster.Entry{},
		conversation.Session{}, conversation.Happening{}, roster.Seat{}, roster.Shop{}, roster.Endpoint{}, roster.Delivery{}} {
		got += shapeOf(reflect.TypeOf(v))
	}
	if *writeShape {
		if err := os.WriteFile(shapeGolden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(shapeGolden)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf(`the stored form changed (-written down +now):
%s
A field that is new and may be missing (its zero value is what an older program meant): run
  go test ./internal/delivery -run TestStoredShape -write-shape
Anything else (renamed, removed, another type or meaning): raise roster.SchemaVersion, teach the loader the
older form, and write both this file and the stored data of the new form:
  go test ./internal/delivery -run 'TestStoredShape|TestWriteStored' -write-shape -write-stored v%d.json`, d, roster.SchemaVersion)
	}
}

// shapeOf is a line for each field that a type is stored with, types within it
// included, each type once.
func shapeOf(root reflect.Type) string {
	seen, todo := map[reflect.Type]bool{root: true}, []reflect.Type{root}
	var out strings.Builder
	for len(todo) > 0 {
		typ := todo[0]
		todo = todo[1:]
		fmt.Fprintf(&out, "\n%s\n", typ)
		for i := range typ.NumField() {
			f := typ.Field(i)
			tag := f.Tag.Get("json")
			if tag == "-" || !f.IsExported() {
				continue
			}
			fmt.Fprintf(&out, "  %s %s\n", tag, f.Type)
			for _, inner := range structsOf(f.Type) {
				if !seen[inner] {
					seen[inner] = true
					todo = append(todo, inner)
				}
			}
		}
	}
	return out.String()
}

// structsOf are the structs of ours that a type is made of, unless they are
// written as one word.
func structsOf(t reflect.Type) []reflect.Type {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		return structsOf(t.Elem())
	case reflect.Map:
		return slices.Concat(structsOf(t.Key()), structsOf(t.Elem()))
	case reflect.Struct:
		if strings.HasPrefix(t.PkgPath(), "gasmuster/") {
			return []reflect.Type{t}
		}
	}
	return nil
}
