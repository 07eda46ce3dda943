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

var writeShape = flag.Bool("write-shape", false, "write the shape of what is stored into testdata/stored/shape.golden")

const shapeGolden = "../../testdata/stored/shape.golden"

// The shape of everything that is stored as JSON is written down, so that
// nobody changes the stored form unawares. How a trip is parted into fields is
// held by TestStoredTrip of the store.
func TestStoredShape(t *testing.T) {
	got := fmt.Sprintf("form %d\n", roster.SchemaVersion)
	for _, v := range []any{roster.Plan{}, roster.Course{}, roster.Queue{}, roster.Gate{}, roster.Host{}, roster.Rounds{},
		roster.Person{}, roster.Act{}, roster.Envelope{}, roster.DeadLetter{}, message.Message{}, roster.Entry{},
		conversation.Session{}, conversation.Happening{}, roster.Seat{}, roster.Shop{}, roster.Endpoint{},
		roster.Delivery{}} {
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
Form 1 is frozen. A field that is new and may be missing (its zero value is what an older program meant) is
part of it: run
  go test ./internal/delivery -run TestStoredShape -write-shape
Anything else is form 2: raise roster.SchemaVersion, have rdb.decode read form 1 into it (a trip is written
whole in the new form by its next commit), keep testdata/stored/form1.* and their test as they are, and write
form2.* beside them`, d)
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
