package papers

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// ReadingRecord is one reading with whose it is and what became of it.
type ReadingRecord struct {
	ID       roster.ReadingID  `json:"id"`
	Number   int               `json:"number"` // the diver's place on the trip
	Diver    string            `json:"diver"`
	Cylinder roster.CylinderID `json:"cylinder"`
	Label    string            `json:"label,omitempty"`
	Dive     int               `json:"dive"` // that the cylinder was for when it was said
	Asked    gas.Percent       `json:"asked,omitzero"`
	Percent  gas.Percent       `json:"percent"`
	At       time.Time         `json:"taken_at"`
	Entered  time.Time         `json:"entered_at"` // when it was recorded
	Stage    gas.Stage         `json:"stage"`
	Entrant  gas.Entrant       `json:"entrant"`
	By       string            `json:"by"`
	Witness  string            `json:"witness,omitempty"` // who watched it
	Analyser string            `json:"analyser,omitempty"`
	State    string            `json:"state"` // one of the states below
	Until    time.Time         `json:"until,omitzero"`
	Replaces roster.ReadingID  `json:"replaces,omitempty"`
	how      string
}

// What became of a reading. Whether one counts is said as of its dive, where
// that was dived, else as of now.
const (
	stateCounts   = "counts"
	stateCompared = "compared" // makes stricter, and does not count
	stateTaken    = "taken-back"
	stateSlip     = "slip" // taken back as a slip: not compared
	stateMoved    = "moved"
	stateFilled   = "void" // filled since
	stateAside    = "set-aside"
)

// readings are all of a cylinder, in the order in which they were said.
func (w teller) readings(p *roster.Person, c *roster.Cylinder, now time.Time) []ReadingRecord {
	var list []ReadingRecord
	counts := w.counting(c, now)
	for _, r := range c.Readings {
		out := ReadingRecord{ID: r.ID, Number: number(w.trip, p.ID), Diver: w.who(p.ID), Cylinder: c.ID, Label: c.Label,
			Dive:  r.Dive,
			Asked: c.Asked, Percent: r.Percent, At: r.When().UTC(), Entered: r.Said.UTC(), Stage: r.Stage, Entrant: r.Entrant,
			By:       w.who(r.By),
			Analyser: r.Analyser, Replaces: r.Replaces, how: w.how(r)}
		if r.Witness != "" {
			out.Witness = w.who(r.Witness)
		}
		out.State, out.Until = w.state(c, r, counts)
		list = append(list, out)
	}
	return list
}

// counting are the ids of the readings of a cylinder that count.
func (w teller) counting(c *roster.Cylinder, now time.Time) map[string]bool {
	if o := w.wasDived(c.Dive); o != nil && o.Began.Before(now) {
		now = o.Began
	}
	ids := map[string]bool{}
	for _, v := range w.trip.Evidence(c.ID, now).Counting {
		ids[v.ID] = true
	}
	return ids
}

// wasDived is a leader's word that a dive was dived, nil without one.
func (w teller) wasDived(dive int) *roster.Outcome {
	d := w.trip.Dive(dive)
	if d == nil || d.Outcome == nil || d.Outcome.NotDived {
		return nil
	}
	return d.Outcome
}

func (w teller) state(c *roster.Cylinder, r *roster.Reading, counts map[string]bool) (string, time.Time) {
	switch {
	case r.MovedTo != "":
		return stateMoved, r.Undone.At.UTC()
	case r.Slip:
		return stateSlip, r.Undone.At.UTC()
	case !r.Undone.IsZero():
		return stateTaken, r.Undone.At.UTC()
	case r.Aside != "":
		return stateAside, time.Time{}
	}
	if f := w.filledAfter(c, r); f != nil {
		return stateFilled, f.At.UTC()
	}
	if counts[string(r.ID)] {
		return stateCounts, time.Time{}
	}
	return stateCompared, time.Time{}
}

// filledAfter is the first fill after a reading, nil when there was none. One
// that came after the cylinder's dive took nothing away from that dive.
func (w teller) filledAfter(c *roster.Cylinder, r *roster.Reading) *roster.Fill {
	dived := w.wasDived(r.Dive)
	i := slices.IndexFunc(c.Fills, func(f roster.Fill) bool {
		return r.When().Before(f.At) && (dived == nil || f.At.Before(dived.Began))
	})
	if i < 0 {
		return nil
	}
	return &c.Fills[i]
}

// how is who took a reading, who watched it, and on what.
func (w teller) how(r *roster.Reading) string {
	a := message.Args{"who": w.whoValue(r.By)}
	key := "record.by." + string(r.Entrant)
	if r.Entrant == gas.ByOther {
		key = "papers.by.other"
	}
	if r.Analyser != "" {
		key, a["analyser"] = key+".on", message.Name(r.Analyser)
	}
	line := message.Say(key, a)
	if r.Witness != "" && r.Witness != r.By {
		line = message.Say("papers.by.watched", message.Args{"how": message.Of(line), "who": w.whoValue(r.Witness)})
	}
	return w.line(line)
}

// lateNews is what was said of a dive's cylinders after a leader had said that
// it was dived: readings, and what was taken back.
func (w teller) lateNews(dive int) []LateNews {
	list := []LateNews{}
	o := w.wasDived(dive)
	if o == nil {
		return list
	}
	for _, p := range w.trip.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				if r.Dive == dive {
					list = append(list, w.lateReading(o, p, c, r)...)
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b LateNews) int { return a.At.Compare(b.At) })
	return list
}

func (w teller) lateReading(o *roster.Outcome, p *roster.Person, c *roster.Cylinder, r *roster.Reading) []LateNews {
	var list []LateNews
	late := func(at time.Time, nth int, key string) {
		if at.After(o.At) || at.Equal(o.At) && nth > o.Nth {
			list = append(list, LateNews{at.UTC(),
				w.say(key, message.Args{"name": w.whoValue(p.ID), "cylinder": message.Of(cylinderName(c)),
					"percent": message.Percent(r.Percent), "at": message.Clock(at, w.trip.Zone)})})
		}
	}
	late(r.Said, r.Nth, "papers.late.reading")
	if !r.Undone.IsZero() {
		late(r.Undone.At, r.Undone.Nth, "papers.late.undone")
	}
	return list
}
