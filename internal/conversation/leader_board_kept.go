package conversation

import (
	"math"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// KeptRow is what a leader's phone keeps of one cylinder of a dive still to come, to judge a reading
// by while there is no signal: the same table that its diver got. It goes no further
// than that table, and says so where more than a reading is missing.
type KeptRow struct {
	Person   roster.PersonID
	Cylinder roster.CylinderID
	Dive     int
	Who      message.Value
	Name     message.Line
	Bands    []KeptBand
	Leanest  int          // whole percent that the planned minutes take, 0 when air will do
	Time     message.Line // says so
	// Else is that a reading alone clears nobody here: something else is missing, or
	// other readings of this cylinder are compared with it. A stop is still one.
	Else bool
}

// KeptBand is what the whole percentages from From up come to, until the next band.
// Between two whole percentages the higher one counts.
type KeptBand struct {
	From    int
	Status  gas.Status
	Verdict message.Line
}

// Kept are the tables of all dives that were not dived, for who leads them: the second
// dive's cylinders are analysed where there is no signal either. It is a row for each
// cylinder of everybody who is active.
func Kept(trip *roster.Trip, now time.Time) []KeptRow {
	if trip.CalledOff != nil {
		return nil
	}
	t := newTurn(Input{Trip: trip, Now: now, Trips: 1})
	var rows []KeptRow
	for dive := range trip.Dives {
		if !trip.WasDived(dive + 1) {
			rows = append(rows, t.keptRows(dive+1)...)
		}
	}
	return rows
}

func (t *turn) keptRows(dive int) []KeptRow {
	b := t.board(dive)
	var rows []KeptRow
	for i := range b.People {
		p := t.trip.Person(b.People[i].Person)
		for _, c := range p.InUse() {
			if c.Dive == dive && b.People[i].Active {
				rows = append(rows, t.keptRow(&b.People[i], p, c))
			}
		}
	}
	return rows
}

func (t *turn) keptRow(cl *roster.Clearance, p *roster.Person, c *roster.Cylinder) KeptRow {
	row := KeptRow{Person: p.ID, Cylinder: c.ID, Dive: c.Dive, Who: t.nameOf(p.ID), Name: t.cylinderOn(c)}
	row.Bands = []KeptBand{{0, gas.NoGo, message.Say("remind.keep.stop", nil)}} // below 20.0 is no gas
	for _, b := range t.bands(p, c) {
		row.Bands = append(row.Bands, KeptBand{int(b.From), b.Status, bandVerdict(b)})
	}
	leanest, ok := t.trip.LeanestForTime(p, c.Dive)
	switch lines := t.keepTime(p, c.Dive); {
	case len(lines) == 0:
	case ok && leanest > 0:
		row.Leanest, row.Time = int(math.Ceil(float64(leanest))), lines[0]
	default: // no gas gives these minutes
		row.Leanest, row.Time = 100, lines[0]
	}
	more := func(n roster.Need) bool { return n != roster.NeedReading }
	row.Else = len(t.trip.Evidence(c.ID, t.now).Compared) > 0 || slices.ContainsFunc(cl.Needs, more) || len(row.Bands) == 1
	return row
}
