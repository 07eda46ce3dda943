package booking

import (
	"strings"
	"testing"
	"time"
)

// FuzzReadTrip: no document makes the reader panic, and one that it accepts is
// a trip that the roster accepts.
func FuzzReadTrip(f *testing.F) {
	f.Add(`{"name":"a","time_zone":"Atlantic/Azores","departs_at":"2027-05-15T08:30:00Z","dives":[{"site":"b","depth":30,"minutes":20}],"leaders":[{"name":"c"}]}`)
	f.Add(`{"dives":[{"bottom":"none","depth":1e308}],"divers":[{"cylinders":[{"asked":-0}]}]}`)
	f.Add(`[{"a":[[[]]]},null]`)
	now := time.Date(2027, 5, 1, 0, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		var faults Faults
		v, err := Parse(strings.NewReader(text), &faults)
		if err != nil {
			return
		}
		trip := readTrip(v, nil, now, &faults)
		if found := trip.Validate(); len(faults.List) == 0 && len(found) > 0 {
			t.Errorf("accepted in spite of %v", found)
		}
	})
}
