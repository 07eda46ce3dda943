package sim

import (
	"reflect"
	"testing"
)

// A host who answers one question after the other starts the trip that is meant.
func TestHostStartsTheTrip(t *testing.T) {
	for seed := uint64(5); seed < 7*300; seed += 7 {
		b := booked(seed)
		if !hosted(seed) || !startedByHost(b) {
			t.Fatalf("day %d is not a host's", seed)
		}
		p := open(b, false).product
		if len(p.trip.Dives) != len(b.Dives) || !p.trip.Departs.Equal(b.Departs) || p.trip.Policy != p.policy(b.Policy) {
			t.Fatalf("day %d: started %+v, meant %+v", seed, p.trip.Plan, b)
		}
		for i, v := range b.Dives {
			if got := p.trip.Dives[i]; !reflect.DeepEqual(got, p.plan(v)) {
				t.Errorf("day %d, dive %d: started %+v, meant %+v", seed, i+1, got, p.plan(v))
			}
		}
	}
}
