package roster_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func encode(t testing.TB, trip *roster.Trip) string {
	t.Helper()
	b, err := json.Marshal(trip)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// copyOf is the trip as the store would give it back.
func copyOf(t testing.TB, trip *roster.Trip) *roster.Trip {
	t.Helper()
	got := roster.NewTrip("", "")
	if err := json.Unmarshal([]byte(encode(t, trip)), got); err != nil {
		t.Fatal(err)
	}
	return got
}

var rank = map[gas.Status]int{gas.Go: 0, gas.GoWithLimits: 1, gas.NotCleared: 2, gas.NoGo: 3}

// Whatever is done, in whatever order: nothing panics, the board adds up,
// nothing is lost or goes unnoted, and the trip survives its stored form.
func TestAnyDay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		for range rapid.IntRange(1, 25).Draw(rt, "steps") {
			m.mayPublish(rt)
			before, noted, readings := encode(t, m.trip.Trip), len(m.trip.Acts), readingsIn(m.trip.Trip)
			what := m.step(rt)
			after := encode(t, m.trip.Trip)
			if _, queue := queueActs[what]; !queue && before != after && len(m.trip.Acts) == noted {
				rt.Fatalf("%q changed the trip and noted nothing", what)
			}
			if got := readingsIn(m.trip.Trip); got < readings {
				rt.Fatalf("%q lost readings: %d of %d left", what, got, readings)
			}
			if got := encode(t, copyOf(t, m.trip.Trip)); got != after {
				rt.Fatalf("stored form changed by reading it:\n%s", cmp.Diff(after, got))
			}
			for n := range m.trip.Dives {
				checkBoard(rt, board(rt, m.trip, n+1, m.now))
			}
			checkIDs(rt, m.trip.Trip)
		}
	})
}

func readingsIn(t *roster.Trip) (n int) {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			n += len(c.Readings)
		}
	}
	return n
}

func checkBoard(t *rapid.T, b roster.Board) {
	worst, active := gas.Go, 0
	for _, pb := range b.People {
		if !pb.Active {
			continue
		}
		active++
		if rank[pb.Status] > rank[worst] {
			worst = pb.Status
		}
		if pb.Verdict.Cylinders == 0 && rank[pb.Status] < rank[gas.NotCleared] {
			t.Fatalf("%s has no cylinder and is %v", pb.Person, pb.Status)
		}
		if pb.Status == gas.NotCleared && len(pb.Needs) == 0 && !pb.Left {
			t.Fatalf("%s is not cleared and needs nothing: %+v", pb.Person, pb.Verdict.Reasons())
		}
	}
	if active == 0 {
		worst = gas.NotCleared
	}
	c := b.Counts
	if b.Status != worst || c.Active != active || c.Go+c.Limits+c.NoGo+c.NotCleared != active {
		t.Fatalf("board says %v and %+v, its lines come to %v and %d active", b.Status, c, worst, active)
	}
}

func checkIDs(t *rapid.T, trip *roster.Trip) {
	seen := map[string]bool{}
	for _, p := range trip.People {
		ids := []string{string(p.ID)}
		for _, c := range p.Cylinders {
			ids = append(ids, string(c.ID))
			for _, r := range c.Readings {
				ids = append(ids, string(r.ID))
			}
		}
		for _, id := range ids {
			if id == "" || seen[id] {
				t.Fatalf("id %q is given twice or empty", id)
			}
			seen[id] = true
		}
	}
}

// Nobody makes the board better by vanishing, on any day, for anybody.
func TestVanishingNeverImproves(t *testing.T) {
	ways := map[string]func(*roster.Draft, roster.PersonID, time.Time){
		"leaving":    func(tr *roster.Draft, p roster.PersonID, now time.Time) { tr.Leave(p, p, "", now) },
		"forgetting": func(tr *roster.Draft, p roster.PersonID, now time.Time) { tr.Erase(p, now) },
	}
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		for range rapid.IntRange(0, 30).Draw(rt, "steps") {
			m.step(rt)
			m.mayPublish(rt)
		}
		before := board(rt, m.trip, 1, m.now)
		for name, vanish := range ways {
			for _, p := range m.trip.People {
				trip := roster.Change(copyOf(t, m.trip.Trip))
				vanish(trip, p.ID, m.now)
				after := trip.Board(1, m.now)
				if rank[after.Status] < rank[before.Status] {
					rt.Fatalf("%s of %s: board went from %v to %v", name, p.ID, before.Status, after.Status)
				}
				for i, pb := range after.People {
					if rank[pb.Status] < rank[before.People[i].Status] {
						rt.Fatalf("%s of %s: %s went from %v to %v", name, p.ID, pb.Person, before.People[i].Status, pb.Status)
					}
				}
			}
		}
	})
}

// While a signature stands nobody under it is no-go or not cleared, as of the
// moment it was given; and what broke it is said.
func TestSignaturesStandForWhatIsKnown(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		for _, c := range []roster.CylinderID{"c4", "c6"} {
			m.now = m.now.Add(time.Minute)
			m.trip.Record(c, roster.Reading{Percent: 31.8, At: m.now, Ref: string(c), By: owner(m.trip, c), Analyser: "A"},
				m.now)
		}
		aboard(m.trip, 1, m.now)
		if refused, ok := m.trip.SignOff(1, ines, m.now); !ok {
			rt.Fatalf("not signed: %+v", refused)
		}
		m.publish()
		for range rapid.IntRange(1, 6).Draw(rt, "steps") {
			what := m.step(rt)
			m.publish()
			s := m.trip.SignOffs[0]
			if s.Withdrawn != nil || m.trip.WasDived(1) {
				return
			}
			if s.Broken != nil {
				if s.Broken.What == "" || s.Broken.Was == s.Broken.Now {
					rt.Fatalf("%s broke it by %+v", what, s.Broken)
				}
				return
			}
			for _, c := range roster.PlainBoard(m.trip.Trip, 1, s.At).People {
				if c.Active && !c.Goes() {
					rt.Fatalf("%s: the signature stands over %s, %v: %+v", what, c.Person, c.Status, c.Verdict.Reasons())
				}
			}
		}
	})
}

func owner(t *roster.Draft, c roster.CylinderID) roster.PersonID {
	p, _ := t.Cylinder(c)
	return p.ID
}
