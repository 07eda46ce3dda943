package conversation

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// What has to hold after every event of every test in this package.
func holdsAlways(t tb, in Input, r Result) {
	t.Helper()
	signedIsCleared(t, in, r)
	leadersKnow(t, in, r)
	for _, l := range r.Letters {
		if p := r.Trip.Person(l.Person); p != nil && !p.Leader && !p.Crew {
			deepestNamed(t, in, r.Trip, p, l.Message)
		}
	}
}

// signedIsCleared: nobody who is no-go or not cleared stands under a signature
// that stands. Time alone may pass under it.
func signedIsCleared(t tb, in Input, r Result) {
	t.Helper()
	for n := range r.Trip.Dives {
		if len(r.Acts) == 0 || !r.Trip.Signed(n+1, in.Now) || r.Trip.WasDived(n+1) {
			continue
		}
		s := r.Trip.Signature(n + 1)
		b := r.Trip.Board(n+1, s.At)
		for _, c := range b.People {
			if c.Active && !c.Goes() {
				t.Errorf("%s %q%q: dive %d is signed, and %s is %v", in.Event.Kind, in.Event.Text, in.Event.Do, n+1, c.Person,
					c.Status)
			}
		}
	}
}

// leadersKnow: every no-go of a dive that is ahead was told every leader who can
// be reached, or waits for the minute to end.
func leadersKnow(t tb, in Input, r Result) {
	t.Helper()
	_, waits := r.Trip.Reminded[reminders.NewsWait]
	if len(r.Acts) == 0 || waits {
		return
	}
	for n := range r.Trip.Dives {
		b := r.Trip.Board(n+1, in.Now)
		for _, c := range b.People {
			if !c.Active || c.Status != gas.NoGo || b.Dived {
				continue
			}
			for _, p := range r.Trip.Leaders() {
				if canBeTold(p) && !toldAbout(r.Trip, p.ID, c.Person) {
					t.Errorf("%s %q%q: %s is no-go on dive %d, and %s was not told", in.Event.Kind, in.Event.Text, in.Event.Do,
						c.Person, n+1, p.ID)
				}
			}
		}
	}
}

func toldAbout(trip *roster.Trip, leader, diver roster.PersonID) bool {
	for key := range trip.Reminded {
		if strings.HasPrefix(key, newsTold+string(leader)+":"+string(diver)+":") {
			return true
		}
	}
	return false
}

// deepestNamed: no message names a depth to a diver as one to go to that is
// deeper than their max on some dive that is ahead. What stands on a label is of
// the gas.
func deepestNamed(t tb, in Input, trip *roster.Trip, p *roster.Person, m message.Message) {
	t.Helper()
	var most gas.Depth
	for n := range trip.Dives {
		if c := trip.Clearance(p.ID, n+1, in.Now); c.Max.Known() && (!most.Known() || c.Max.DeeperThan(most)) {
			most = c.Max
		}
	}
	for _, line := range m.Lines {
		for _, d := range limitsIn(line) {
			if most.Known() && d.DeeperThan(most) {
				t.Errorf("%s %q%q: %s is told %v in %q, max is %v", in.Event.Kind, in.Event.Text, in.Event.Do, p.ID, d, line.Key,
					most)
			}
		}
	}
}

// limitsIn are the depths of a line that are limits, those within other lines
// too, but for what is written on a cylinder.
func limitsIn(line message.Line) []gas.Depth {
	if strings.HasPrefix(line.Key, "label") {
		return nil
	}
	var found []gas.Depth
	for _, v := range line.Values {
		found = append(found, limitsOf(v.Value)...)
	}
	return found
}

func limitsOf(v message.Value) []gas.Depth {
	if v.Kind == message.KindLimit {
		return []gas.Depth{gas.Depth{Value: v.N, Unit: v.U}.LimitIn(v.U)}
	}
	if v.Rare == nil {
		return nil
	}
	var found []gas.Depth
	if v.Line != nil {
		found = limitsIn(*v.Line)
	}
	for _, one := range v.L {
		found = append(found, limitsOf(one)...)
	}
	return found
}
