package sim

import (
	"maps"
	"slices"
	"testing"

	"gasmuster/internal/sim/judge"
)

// On days on which people talk every sentence is said, the rarest on some day of many, and
// a good part of all that is said is said aloud.
func TestPeopleTalk(t *testing.T) {
	aloud, all := 0, 0
	said := map[judge.Kind]int{}
	silent := func(kind judge.Kind) bool { return said[kind] == 0 }
	kinds := slices.Collect(maps.Keys(phrases))
	for seed := uint64(3); seed < 800 || seed < 3000 && slices.ContainsFunc(kinds, silent); seed += 4 {
		d := direct(seed)
		p := open(booked(seed), true)
		for range 60 {
			change := d.next(p.see)
			if wrong := p.tell(change); wrong != nil {
				break // what they disagree about is for other tests
			}
			if all++; p.product.voice.aloud != nil {
				aloud++
				said[change[0].Kind]++
			}
		}
	}
	if aloud < all/4 {
		t.Errorf("%d of %d things were said aloud, want a quarter", aloud, all)
	}
	for kind := range phrases {
		if silent(kind) {
			t.Errorf("nobody says %s aloud", kind)
		}
	}
}
