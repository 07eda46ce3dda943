package roster

import (
	"time"

	"gasmuster/internal/gas"
)

// usualDive is how long a dive is taken to last that was planned without a
// time. Common practice, no source.
const usualDive = time.Hour

// lateNews is how long after the last dive's expected end a signed trip still
// takes what arrives late.
const lateNews = time.Hour

// CurrentDive is the first dive that is not signed off, from 1; 0 when all are.
func (t *Trip) CurrentDive() int {
	for n := 1; n <= len(t.Dives); n++ {
		if t.signature(n) == nil {
			return n
		}
	}
	return 0
}

// Dive is dive n, from 1; nil when there is none.
func (t *Trip) Dive(n int) *Dive {
	if n < 1 || n > len(t.Dives) {
		return nil
	}
	return &t.Dives[n-1]
}

// signature is the sign-off that stands under dive n, nil when there is none.
func (t *Trip) signature(n int) *SignOff {
	for i := range t.SignOffs {
		if s := &t.SignOffs[i]; s.Dive == n && s.Reopened == nil {
			return s
		}
	}
	return nil
}

// lastSigned is the highest dive that is signed off, 0 when none is.
func (t *Trip) lastSigned() int {
	for n := len(t.Dives); n > 0; n-- {
		if t.signature(n) != nil {
			return n
		}
	}
	return 0
}

// Stage is where the trip is: the boat once the leader opened the boat check.
func (t *Trip) Stage() gas.Stage {
	if t.BoatOpen.IsZero() || t.CurrentDive() == 0 {
		return gas.Dock
	}
	return gas.Boat
}

// followBoat makes BoatOpen that of the current dive, whatever the current
// dive has just become.
func (t *Trip) followBoat() {
	t.BoatOpen = time.Time{}
	if d := t.Dive(t.CurrentDive()); d != nil {
		t.BoatOpen = d.BoatOpen
	}
}

// Starts is when dive n is expected to start: the departure, plus the dives
// and surface intervals before it. A dive planned without a time counts as an
// hour.
func (t *Trip) Starts(n int) time.Time {
	at := t.Departs
	for i := range min(n, len(t.Dives)) {
		at = at.Add(minutes(t.Dives[i].Interval))
		if i < n-1 {
			at = at.Add(t.Dives[i].lasts())
		}
	}
	return at
}

// Ends is when dive n is expected to end; see Starts.
func (t *Trip) Ends(n int) time.Time {
	if d := t.Dive(n); d != nil {
		return t.Starts(n).Add(d.lasts())
	}
	return t.Starts(n)
}

func (d *Dive) lasts() time.Duration {
	if d.Minutes <= 0 {
		return usualDive
	}
	return minutes(d.Minutes)
}

func minutes(v float64) time.Duration { return time.Duration(v * float64(time.Minute)) }

// Over tells whether the trip takes no more readings: a day past its last
// dive; or all dives are signed off and the last has ended an hour ago, by plan
// or counted from its signature, whichever is later. Until then late news
// reopens a signed dive. What was dived may be entered also after that.
func (t *Trip) Over(now time.Time) bool {
	last := len(t.Dives)
	if now.After(t.Starts(last).Add(24 * time.Hour)) {
		return true
	}
	s := t.signature(last)
	if s == nil || t.CurrentDive() != 0 {
		return false
	}
	end := t.Ends(last)
	if signed := s.At.Add(t.Dives[last-1].lasts()); signed.After(end) {
		end = signed
	}
	return now.After(end.Add(lateNews))
}
