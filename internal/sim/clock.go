package sim

import (
	"time"

	"gasmuster/internal/gas"
)

// boundaries are what the rules count: 15 s between two cylinders, 2 minutes of an undo, 30 before the check,
// 60 of an air point, 3 hours of a signature, 4 and 24 of a reading.
var boundaries = []time.Duration{15 * time.Second, 2 * time.Minute, 2 * time.Minute, 30 * time.Minute, 60 * time.Minute,
	60 * time.Minute, 3 * time.Hour, 4 * time.Hour, 24 * time.Hour}

// pass lets some time go by before the next is said.
func (d *director) pass() {
	switch n := d.IntN(100); {
	case n < 12:
		d.now = d.now.Add(seconds(d.IntN(15)))
	case n < 70:
		d.now = d.now.Add(seconds(10 + d.IntN(150)))
	case n < 88:
		d.now = d.now.Add(seconds(120 + d.IntN(600)))
	case n < 94:
		d.toBoundary()
	default:
		d.toPhase()
	}
}

func seconds(n int) time.Duration { return time.Duration(n) * time.Second }

// beside is a boundary, or one second beside it.
func (d *director) beside() time.Duration {
	return pick(d.Rand, boundaries...) + seconds(d.IntN(3)-1)
}

// toBoundary goes to where something said a while ago reaches a boundary. The long ones end a day, and come rarely.
func (d *director) toBoundary() {
	if len(d.moments) == 0 {
		return
	}
	recent := d.moments[max(0, len(d.moments)-12):]
	at := pick(d.Rand, recent...).Add(d.beside())
	if wait := at.Sub(d.now); wait > 0 && (wait < 90*time.Minute || d.chance(25)) {
		d.now = at
	}
}

// toPhase goes to where the day goes on: the dock, the boat, a planned start, after a dive.
func (d *director) toPhase() {
	phases := []time.Time{d.booked.Departs.Add(-95 * time.Minute), d.booked.Departs}
	for n := range d.booked.Dives {
		start := d.starts(n + 1)
		phases = append(phases, start.Add(-25*time.Minute), start.Add(seconds(d.IntN(3)-1)), d.ends(n+1).Add(5*time.Minute))
	}
	last := len(d.booked.Dives)
	phases = append(phases, d.starts(last).Add(3*time.Hour+seconds(d.IntN(3)-1))) // a signature lapses
	for _, at := range phases {
		if at.After(d.now) {
			d.now = at
			return
		}
	}
}

// starts and ends are the planned times of a dive, as the director knows the plan.
func (d *director) starts(n int) time.Time {
	at := d.booked.Departs.Add(minutes(d.booked.FirstDiveAfter))
	for i := 1; i < n; i++ {
		at = d.ends(i).Add(minutes(d.booked.Dives[i].Interval))
	}
	return at
}

func (d *director) ends(n int) time.Time {
	v := d.booked.Dives[n-1]
	ascent := gas.Depth{Value: v.Depth, Unit: d.booked.Units}.Metres() / 9
	return d.starts(n).Add(minutes(v.Minutes + ascent))
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// earlier is a moment before now for a number from paper: often at a boundary of now, a check or a start.
func (d *director) earlier() time.Time {
	from := d.now
	if d.chance(50) {
		from = d.starts(d.nextDive())
	}
	if len(d.opened) > 0 && d.chance(60) {
		from = pick(d.Rand, d.opened...)
	}
	at := from.Add(-d.beside())
	if at.After(d.now) {
		return d.now
	}
	return at
}
