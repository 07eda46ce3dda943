package roster

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// What a draft's copies share with what was published: it is replaced by
// another value, never written to. Whoever adds a field that holds a pointer, a
// list or a map copies it in draft.go or names it here.
var replaced = []string{
	"Trip.Course.CalledOff",
	"Trip.Course.Kept.Board",
	"Trip.Course.SignOffs.Board",
	"Trip.Course.SignOffs.Broken",
	"Trip.Course.SignOffs.Facts.People",
	"Trip.Course.SignOffs.Facts.Trip",
	"Trip.Course.SignOffs.Withdrawn",
	"Trip.Course.TakingOver",
	"Trip.Course.Untold",
	"Trip.Gate.Waiting.Asked",
	"Trip.People.Cylinders.Replanned",
	"Trip.Plan.Dives.Outcome",
	"Trip.Plan.Wanted.Dives.Plan.Boat",
	"Trip.Plan.Wanted.Dives.Plan.Dived",
	"Trip.Plan.Wanted.Dives.Plan.Outcome",
	"Trip.Plan.Wanted.Policy",
	"Trip.Plan.Wanted.Starts",
	"Trip.known.labels.of",
	"Trip.known.labels.ties",
	"Trip.known.lines",
}

// When everything of a trip was fetched to be written to, it shares with the
// trip before only what is replaced.
func TestADraftSharesOnlyWhatIsReplaced(t *testing.T) {
	var base Trip
	full(t, reflect.ValueOf(&base).Elem())
	d := Change(&base)
	d.Edit(base.People[0].ID)
	d.EditPlan()
	d.EditCourse()
	d.Queue = base.Queue.copied()
	d.setGate(base.Gate.copied())
	d.Remind("another", time.Time{})
	var shared []string
	sharing("Trip", reflect.ValueOf(base), reflect.ValueOf(*d.Trip), func(path string) { shared = append(shared, path) })
	slices.Sort(shared)
	if diff := cmp.Diff(replaced, shared); diff != "" {
		t.Errorf("shared (-want +got):\n%s", diff)
	}
}

// sharing finds the pointers, lists and maps that are the same in both values;
// below one that is it looks no further, nor into what a signature is under.
func sharing(path string, a, b reflect.Value, found func(path string)) {
	switch {
	case a.Type() == reflect.TypeFor[time.Time]():
	case a.Type() == reflect.TypeFor[SignedBoard]():
		if a.FieldByName("People").Pointer() == b.FieldByName("People").Pointer() {
			found(path)
		}
	case slices.Contains([]reflect.Kind{reflect.Pointer, reflect.Slice, reflect.Map}, a.Kind()):
		if a.Pointer() == b.Pointer() {
			found(path)
			return
		}
		sharingBelow(path, a, b, found)
	case a.Kind() == reflect.Struct:
		for i := range a.NumField() {
			sharing(path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i), found)
		}
	}
}

func sharingBelow(path string, a, b reflect.Value, found func(path string)) {
	switch a.Kind() {
	case reflect.Pointer:
		sharing(path, a.Elem(), b.Elem(), found)
	case reflect.Slice:
		sharing(path, a.Index(0), b.Index(0), found)
	case reflect.Map:
		k := a.MapKeys()[0]
		sharing(path, a.MapIndex(k), b.MapIndex(k), found)
	}
}

// full fills every field below v: lists and maps with one element, and
// everything else with something that is not its zero value.
func full(t testing.TB, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		fullStruct(t, v)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		full(t, v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		full(t, v.Index(0))
	case reflect.Map:
		key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		full(t, key)
		full(t, value)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(key, value)
	case reflect.String:
		v.SetString("x")
	case reflect.Float64:
		v.SetFloat(0.75)
	case reflect.Int, reflect.Int64:
		v.SetInt(1)
	case reflect.Uint8:
		v.SetUint(1)
	case reflect.Bool:
		v.SetBool(true)
	default:
		t.Fatalf("no value for a %s", v.Type())
	}
}

func fullStruct(t testing.TB, v reflect.Value) {
	if v.Type() == reflect.TypeFor[time.Time]() {
		v.Set(reflect.ValueOf(time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)))
		return
	}
	for i := range v.NumField() {
		if v.Type().Field(i).IsExported() {
			full(t, v.Field(i))
		}
	}
}
