package sim

import (
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// play is one day as it goes on: the judge hears all, and the product is told the same.
type play struct {
	day     *judge.Day
	product *product
	see     judge.Verdicts // of the last moment
	events  int
	changes int
	// judgeAlone plays on after a disagreement.
	judgeAlone bool
	soft       *Disagreement // the first that touches no status, no maximum and no signature; the day goes on
	softAt     int           // changes up to then
}

// Make makes the day of a seed and plays it, up to the first disagreement.
func Make(seed uint64, events int) (Day, *Disagreement) {
	d := direct(seed)
	day := Day{Seed: seed, Booked: booked(seed)}
	p := open(day.Booked, spoken(day.Seed))
	for p.events < events {
		said := d.next(p.see)
		day.Said = append(day.Said, said...)
		if wrong := p.tell(said); wrong != nil {
			return day, wrong
		}
	}
	return p.softly(day)
}

// softly is the day up to its first soft disagreement, when it has one.
func (p *play) softly(day Day) (Day, *Disagreement) {
	if p.soft == nil {
		return day, nil
	}
	said := day.changes()[:p.softAt]
	day.Said = slices.Concat(said...)
	return day, p.soft
}

// Play plays a day that was made, or a part of one.
func Play(day Day) *Disagreement {
	p := open(day.Booked, spoken(day.Seed))
	p.product.closely = true
	for _, said := range day.changes() {
		if wrong := p.tell(said); wrong != nil {
			return wrong
		}
	}
	return p.soft
}

func open(b judge.Booked, talk bool) *play {
	at := b.Departs.Add(-48 * time.Hour)
	p := &play{day: judge.Open(b), product: bookProduct(b, at)}
	if talk {
		p.product.listen(at)
	}
	p.see = p.day.At(at)
	return p
}

// tell tells one change to both, and holds what they say of it against each other.
func (p *play) tell(said []judge.Said) (wrong *Disagreement) {
	now := said[0].At
	p.events += len(said)
	p.changes++
	defer func() {
		if r := recover(); r != nil {
			wrong = &Disagreement{Differences: []Difference{{What: "panic", Got: fmt.Sprint(r, "\n", string(debug.Stack()))}}}
		}
		if wrong != nil {
			wrong.After = said[len(said)-1].Kind
			wrong.Typed = p.typed()
		}
	}()
	before := p.day.At(now)
	if wrong := betterByTime(p.see, before); wrong != nil {
		return wrong
	}
	known := p.known(said)
	may := p.mayImprove(known)
	if err := p.both(known, now); err != nil {
		return err
	}
	p.see = p.day.At(now)
	if wrong := p.told(before, now); wrong != nil {
		return wrong
	}
	if found := p.product.compare(p.see, now); len(found) > 0 && !p.judgeAlone {
		wrong := &Disagreement{Differences: found, After: said[len(said)-1].Kind, Typed: p.typed()}
		if !wrong.isSoft() {
			return wrong
		}
		if p.soft == nil {
			p.soft, p.softAt = wrong, p.changes
		}
	}
	return betterWithout(before, p.see, may)
}

// told holds what people were told of the last change.
func (p *play) told(before judge.Verdicts, now time.Time) *Disagreement {
	if p.product.voice == nil {
		return nil
	}
	return p.product.voice.holds(before, p.see, now)
}

// typed is what was typed and pressed just before, on a day on which people talk.
func (p *play) typed() []string {
	if p.product.voice == nil {
		return nil
	}
	return p.product.voice.lately()
}

// both tells the judge and the product. What costs much is looked at after every so many changes only.
func (p *play) both(said []judge.Said, now time.Time) *Disagreement {
	if len(said) == 0 {
		if v := p.product.voice; v != nil {
			v.waits(now)
		}
		return nil
	}
	said = p.product.asSaid(said)
	p.day.Hear(said...)
	if wrong := p.product.tell(said, p.changes%boardsEvery == 0); wrong != nil {
		return wrong
	}
	switch p.changes % reloadEvery {
	case 0:
		return p.product.reload()
	case reloadEvery / 2:
		return p.product.asLoaded()
	}
	return nil
}

const boardsEvery, reloadEvery = 11, 18

// known leaves out what is only the clock, and what is said of nobody and nothing on the trip.
func (p *play) known(said []judge.Said) []judge.Said {
	var list []judge.Said
	for _, s := range said {
		if s.Kind != waited && p.product.knows(s) {
			list = append(list, s)
		}
	}
	return list
}

// mayImprove tells whose clearance a change may make greener.
func (p *play) mayImprove(said []judge.Said) func(roster.PersonID) bool {
	may := map[roster.PersonID]bool{}
	for _, v := range p.see.Dives {
		for _, c := range v.Divers {
			for _, s := range said {
				may[c.Person] = may[c.Person] || p.day.MayImprove(c.Person, s)
			}
		}
	}
	return func(id roster.PersonID) bool { return may[id] }
}

// Disagreement is where product and judge differ, or where an invariant does not hold.
type Disagreement struct {
	Differences []Difference
	After       judge.Kind // what was said just before
	Typed       []string   // how, on a day on which people talk
}

// same tells whether two are of the same kind: the same value differs after the same was said.
func (d *Disagreement) same(o *Disagreement) bool {
	return d != nil && d.kind() == o.kind()
}

// isSoft tells whether rules alone are seen differently, and what follows from them is not.
func (d *Disagreement) isSoft() bool {
	return !slices.ContainsFunc(d.Differences,
		func(f Difference) bool { return !strings.HasPrefix(f.What, "rule ") && f.What != "needs" })
}

func (d *Disagreement) kind() string { return d.Differences[0].What + " after " + string(d.After) }

func (d *Disagreement) String() string {
	lines := slices.Clone(d.Typed)
	for _, f := range d.Differences {
		line := "  " + f.String()
		if rule := sentenceOf(f.What); rule != "" {
			line += "\n      " + rule
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}
