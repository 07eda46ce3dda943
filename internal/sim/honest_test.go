package sim

import "testing"

// An honest group is never stuck: from every state that a day was left in, the people on board find a way for
// everybody to go, sit out or be outside, with what they have there.
func TestHonestPeopleAreNeverStuck(t *testing.T) {
	helped, days := 0, setting(t, "SIM_HONEST", 60)
	for seed := range uint64(days) {
		d, day, p := leftAlone(seed, 40)
		before := len(day.Said)
		stuck, wrong := p.Rescue(day, d.now)
		if len(stuck) > 0 {
			t.Errorf("seed %d: %v", seed, stuck)
		}
		if wrong != nil {
			t.Errorf("seed %d: %v", seed, wrong)
		}
		if p.events > before {
			helped++
		}
	}
	if helped < days/2 {
		t.Errorf("on %d of %d days there was somebody to help: too few to tell anything", helped, days)
	}
}

// leftAlone is a day after so many events, whatever product and judge think of each other.
func leftAlone(seed uint64, events int) (*director, Day, *play) {
	d := direct(seed)
	day := Day{Seed: seed, Booked: booked(seed)}
	p := open(day.Booked, spoken(day.Seed))
	p.judgeAlone = true
	for p.events < events {
		said := d.next(p.see)
		day.Said = append(day.Said, said...)
		p.tell(said)
	}
	return d, day, p
}
