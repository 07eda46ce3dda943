package sim

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"gasmuster/internal/sim/judge"
)

// Tell tells a day in words: what was booked, then a line for everything that was said.
func Tell(d Day) string {
	var b strings.Builder
	b.WriteString(tellBooked(d.Booked))
	for _, s := range d.Said {
		b.WriteString(tellSaid(s, d.Booked.Departs) + "\n")
	}
	return b.String()
}

func tellBooked(k judge.Booked) string {
	var b strings.Builder
	fmt.Fprintf(&b, "booked in %s, departs %s, dive 1 %g min after\n", k.Units, moment(k.Departs, k.Departs),
		k.FirstDiveAfter)
	if k.Policy != judge.DefaultPolicy(k.Units) {
		fmt.Fprintf(&b, "  policy %s\n", changed(k.Policy, judge.DefaultPolicy(k.Units)))
	}
	for i, v := range k.Dives {
		fmt.Fprintf(&b, "  dive %d: %s\n", i+1, filled(v))
	}
	for _, p := range k.People {
		fmt.Fprintf(&b, "  %s\n", filled(p))
	}
	return b.String()
}

func tellSaid(s judge.Said, departs time.Time) string {
	at, who, kind := moment(s.At, departs), s.By, s.Kind
	s.At, s.By, s.Kind = time.Time{}, "", ""
	return fmt.Sprintf("%s %s: %s %s", at, who, kind, filled(s))
}

// moment is a time of day, with the day when it is another than that of the departure.
func moment(t, departs time.Time) string {
	if t.YearDay() != departs.YearDay() {
		return t.Format("2 Jan 15:04:05")
	}
	return t.Format("15:04:05")
}

// filled are the fields of a struct that hold something, by name.
func filled(v any) string { return changed(v, reflect.Zero(reflect.TypeOf(v)).Interface()) }

// changed are the fields of a struct that are not as in another.
func changed(v, was any) string {
	value, base := reflect.ValueOf(v), reflect.ValueOf(was)
	var fields []string
	for i := range value.NumField() {
		f := value.Field(i)
		if reflect.DeepEqual(f.Interface(), base.Field(i).Interface()) {
			continue
		}
		fields = append(fields, value.Type().Field(i).Name+" "+text(f))
	}
	return strings.Join(fields, ", ")
}

func text(f reflect.Value) string {
	switch x := f.Interface().(type) {
	case time.Time:
		return x.Format("2 Jan 15:04:05")
	case fmt.Stringer:
		return x.String()
	}
	switch f.Kind() {
	case reflect.Struct:
		return "{" + filled(f.Interface()) + "}"
	case reflect.Slice:
		var list []string
		for i := range f.Len() {
			list = append(list, text(f.Index(i)))
		}
		return "[" + strings.Join(list, "; ") + "]"
	}
	return fmt.Sprint(f.Interface())
}
