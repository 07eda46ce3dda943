package roster

import "testing"

// Two things that differ anywhere are told apart, also when one is a copy of
// the other from before: a copy shares nothing.
func TestEveryFieldCounts(t *testing.T) {
	var person Person
	Full(t, &person)
	tellsApart(t, &person, (*Person).Same, func(p *Person) *Person { return p.copiedAfter(nil) })

	var dive Dive
	Full(t, &dive)
	tellsApart(t, &dive, func(d, e *Dive) bool { return sameDives(*d, *e) },
		func(d *Dive) *Dive { return &copiedDives([]Dive{*d})[0] })

	var signed SignOff
	Full(t, &signed)
	tellsApart(t, &signed, func(s, z *SignOff) bool { return sameSignOffs(*s, *z) },
		func(s *SignOff) *SignOff { return &copiedSignOffs([]SignOff{*s})[0] })
}

func tellsApart[T any](t *testing.T, v *T, same func(a, b *T) bool, copied func(*T) *T) {
	t.Helper()
	leaves := Leaves(t, v)
	if len(leaves) < 10 {
		t.Fatalf("only %d fields of a %T", len(leaves), *v)
	}
	for _, l := range leaves {
		before := copied(v)
		if !same(before, v) {
			t.Fatalf("%s: a copy is not the same", l.Path)
		}
		l.Change()
		if same(before, v) || same(v, before) {
			t.Errorf("%s was changed, and counts as the same", l.Path)
		}
		l.Back()
	}
}
