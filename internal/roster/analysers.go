package roster

import (
	"time"

	"gasmuster/internal/gas"
)

// SetAnalyser says which analyser a reading was taken with. An unknown
// analyser is added.
func (t *Trip) SetAnalyser(id ReadingID, analyser string, by PersonID, now time.Time) {
	c, r := t.Reading(id)
	if r == nil || r.Analyser == analyser || analyser == "" {
		return
	}
	t.news(c.Dive, by, VerbAnalyser, now)
	was := r.Analyser
	r.Analyser = t.analyser(analyser).Name
	r.AirPoint = t.airPoint(r.Analyser)
	r.Hurried = r.Hurried || (r.Replaces == "" && t.hurried(r))
	t.act(now, by, VerbAnalyser, string(id), "", "was", was, "now", r.Analyser)
}

// SetAirPoint records what an analyser showed in fresh air, 0 for "don't know"
// (which is an answer too: it is asked once). It applies to the readings of
// that analyser that have none, and to those that follow: an air point taken
// after calibrating again does not mend the readings before. An unknown
// analyser is added.
func (t *Trip) SetAirPoint(analyser string, p gas.Percent, by PersonID, now time.Time) {
	if analyser == "" {
		return
	}
	a := t.analyser(analyser)
	was := a.AirPoint
	a.AirPoint, a.AirBy, a.AirAt, a.AirAsked = p, by, now, true
	for _, person := range t.People {
		for _, c := range person.Cylinders {
			t.giveAirPoint(c, a, now)
		}
	}
	t.act(now, by, VerbAirPoint, "", "", "analyser", a.Name, "was", percentText(was), "now", percentText(p))
}

func (t *Trip) giveAirPoint(c *Cylinder, a *Analyser, now time.Time) {
	for _, r := range c.Readings {
		if r.AirPoint == 0 && a.AirPoint != 0 && sameAnalyser(r.Analyser, a.Name) {
			t.news(c.Dive, a.AirBy, VerbAirPoint, now)
			r.AirPoint = a.AirPoint
		}
	}
}

// analyser finds an analyser or adds it.
func (t *Trip) analyser(name string) *Analyser {
	if a := t.Analyser(name); a != nil {
		return a
	}
	t.Analysers = append(t.Analysers, Analyser{Name: name})
	return &t.Analysers[len(t.Analysers)-1]
}

// airPoint is what an analyser last showed in fresh air, 0 when not known.
func (t *Trip) airPoint(analyser string) gas.Percent {
	if a := t.Analyser(analyser); a != nil {
		return a.AirPoint
	}
	return 0
}
