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

// ascent is the direct way up from a depth at 9 m/min.
func ascent(d gas.Depth) time.Duration { return minutes(d.Metres() / 9) }

// DefaultDive is the first dive, from 1, that is neither signed nor dived; 0
// when there is none. It tells which board to show; no rule rests on it.
func (t *Trip) DefaultDive(now time.Time) int {
	for n := 1; n <= len(t.Dives); n++ {
		if !t.Signed(n, now) && t.Dives[n-1].Outcome == nil {
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

// WasDived tells whether a leader said that dive n was dived.
func (t *Trip) WasDived(n int) bool {
	d := t.Dive(n)
	return d != nil && d.Outcome != nil && !d.Outcome.NotDived
}

// NotDived tells whether a leader said that dive n was not dived at all.
func (t *Trip) NotDived(n int) bool {
	d := t.Dive(n)
	return d != nil && d.Outcome != nil && d.Outcome.NotDived
}

// BoatOpened tells whether the boat check of dive n was opened.
func (t *Trip) BoatOpened(n int) bool {
	d := t.Dive(n)
	return d != nil && len(d.Boat) > 0
}

// StageOf is where dive n is: the boat once its boat check was opened.
func (t *Trip) StageOf(n int) gas.Stage {
	if t.BoatOpened(n) {
		return gas.Boat
	}
	return gas.Dock
}

// ReadyBefore is how long before departure cylinders can usually be analysed;
// common practice, no source.
const ReadyBefore = 90 * time.Minute

// ReadyAt is from when the cylinders can be analysed: since the shop said that
// they are ready, else as planned, else the usual time before departure.
func (t *Trip) ReadyAt() time.Time {
	switch {
	case !t.Ready.IsZero():
		return t.Ready
	case !t.CylindersReady.IsZero():
		return t.CylindersReady
	}
	return t.Departs.Add(-ReadyBefore)
}

// Starts is when dive n is expected to start: the departure and what passes
// until the first dive, plus the dives, their ascents and the surface intervals
// before it. A dive planned without a time counts as an hour. Where a leader said
// when a dive ended, the interval after it runs from there.
func (t *Trip) Starts(n int) time.Time {
	return t.startsAfter(n, func(d *Dive) float64 { return d.Interval })
}

// agedBy is the start of dive n by which readings are as old as they are: where the shop alone made an interval
// shorter, that of before, since nothing may count by it that would not have.
func (t *Trip) agedBy(n int) time.Time {
	return t.startsAfter(n, func(d *Dive) float64 { return max(d.Interval, d.Agreed) })
}

func (t *Trip) startsAfter(n int, interval func(*Dive) float64) time.Time {
	at := t.Departs.Add(minutes(t.FirstDiveAfter))
	for i := range min(n, len(t.Dives)) {
		at = at.Add(minutes(interval(&t.Dives[i])))
		if i < n-1 {
			at = at.Add(t.Dives[i].lasts())
			if up := t.UpAt(i + 1); !up.IsZero() {
				at = up
			}
		}
	}
	return at
}

// UpAt is when the last diver was up from dive n, as a leader said; the zero time
// while nobody did.
func (t *Trip) UpAt(n int) time.Time {
	if !t.WasDived(n) {
		return time.Time{}
	}
	return t.Dives[n-1].Outcome.Up
}

// Ends is when dive n is expected to end; see Starts.
func (t *Trip) Ends(n int) time.Time {
	if d := t.Dive(n); d != nil {
		return t.Starts(n).Add(d.lasts())
	}
	return t.Starts(n)
}

// lasts is from leaving the surface until being back there.
func (d *Dive) lasts() time.Duration {
	if d.Minutes <= 0 {
		return usualDive
	}
	return minutes(d.Minutes) + ascent(d.Depth)
}

// minutes is a time of the plan, to the second.
func minutes(v float64) time.Duration {
	return time.Duration(v * float64(time.Minute)).Round(time.Second)
}

// Over tells whether the trip takes no more readings: called off; a day past its last dive;
// or a leader said of the last whether it was dived, and it ended an hour ago, by plan or
// counted from its signature, whichever is later. A boat that left late and said nothing
// may still be on the way out. What was dived may be entered also after that.
func (t *Trip) Over(now time.Time) bool {
	last := len(t.Dives)
	if t.CalledOff != nil {
		return true
	}
	if now.After(t.Starts(last).Add(24 * time.Hour)) {
		return true
	}
	s := t.Signature(last)
	if s == nil || t.DefaultDive(now) != 0 || t.Dives[last-1].Outcome == nil {
		return false
	}
	end := t.Ends(last)
	if signed := s.At.Add(t.Dives[last-1].lasts()); signed.After(end) {
		end = signed
	}
	return now.After(end.Add(lateNews))
}

// GasDive is dive n as the check sees it; for tables and for the request check.
// A dive that does not exist has no depth, which is not cleared.
func (t *Trip) GasDive(n int) gas.Dive {
	d := t.Dive(n)
	if d == nil {
		return gas.Dive{Number: n, Place: gas.Place{Unit: t.Units}}
	}
	return gas.Dive{Number: n, Place: gas.Place{Unit: t.Units, Water: d.Water, Altitude: d.Altitude}, Depth: d.Depth,
		Bottom: d.Bottom, Bottomless: d.Bottomless, Minutes: d.Minutes, Interval: d.Interval, Start: t.Starts(n)}
}
