package roster_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// machine does to a trip whatever people might, in any order.
type machine struct {
	trip *roster.Trip
	now  time.Time
}

func newMachine() *machine { return &machine{trip: charter(), now: dawn} }

// act is one thing done, with arguments drawn from what the trip holds and a
// little from what it doesn't.
type act func(t *rapid.T, m *machine)

var acts = map[string]act{
	"record": func(t *rapid.T, m *machine) {
		m.trip.Record(m.cylinder(t), roster.Reading{Percent: percent(t), At: m.moment(t), Ref: ref(t), By: m.person(t),
			Analyser: analyser(t), Entrant: rapid.SampledFrom([]gas.Entrant{"", gas.ByDiver, gas.Witnessed, gas.ByShop}).Draw(t, "entrant"),
			Calibrated: rapid.Bool().Draw(t, "calibrated")}, m.now)
	},
	"correct": func(t *rapid.T, m *machine) {
		m.trip.Correct(m.reading(t), percent(t), m.person(t), m.moment(t), m.now)
	},
	"undo": func(t *rapid.T, m *machine) { m.trip.Undo(m.reading(t), m.person(t), m.now) },
	"move": func(t *rapid.T, m *machine) { m.trip.MoveReading(m.reading(t), m.cylinder(t), m.person(t), m.now) },
	"confirm": func(t *rapid.T, m *machine) {
		m.trip.Confirm(m.reading(t), rapid.SampledFrom([]gas.Shown{gas.ShownDecimals, gas.ShownNoDecimal}).Draw(t, "shown"), m.person(t), m.now)
	},
	"analyser": func(t *rapid.T, m *machine) { m.trip.SetAnalyser(m.reading(t), analyser(t), m.person(t), m.now) },
	"air": func(t *rapid.T, m *machine) {
		m.trip.SetAirPoint(analyser(t), rapid.SampledFrom([]gas.Percent{0, 19, 20.9}).Draw(t, "air"), m.person(t), m.now)
	},
	"label": func(t *rapid.T, m *machine) {
		m.trip.SetLabel(m.cylinder(t), rapid.SampledFrom([]string{"", "17", "22"}).Draw(t, "label"), m.person(t), m.now)
	},
	"asked":  func(t *rapid.T, m *machine) { m.trip.SetAsked(m.cylinder(t), percent(t), m.person(t), m.now) },
	"lock":   func(t *rapid.T, m *machine) { m.trip.LockFills("", m.now) },
	"fill":   func(t *rapid.T, m *machine) { m.trip.Fill(m.cylinder(t), m.moment(t), m.person(t), m.now) },
	"swap":   func(t *rapid.T, m *machine) { m.trip.Swap(m.cylinder(t), m.person(t), "valve", m.now) },
	"retire": func(t *rapid.T, m *machine) { m.trip.Retire(m.cylinder(t), m.person(t), "valve", m.now) },
	"add": func(t *rapid.T, m *machine) {
		m.trip.AddCylinder(m.person(t), rapid.IntRange(0, 3).Draw(t, "dive"), percent(t), ines, m.now)
	},
	"replan":    func(t *rapid.T, m *machine) { m.trip.Replan(m.cylinder(t), ines, m.now) },
	"open boat": func(t *rapid.T, m *machine) { m.trip.OpenBoat(ines, m.now) },
	"attend": func(t *rapid.T, m *machine) {
		m.trip.Attend(m.cylinder(t), rapid.SampledFrom([]string{roster.Kept, roster.OutOfSight, roster.Unsure}).Draw(t, "answer"), m.person(t), m.now)
	},
	"site": func(t *rapid.T, m *machine) {
		m.trip.SetDive(rapid.IntRange(0, 3).Draw(t, "dive"), roster.Dive{Site: "Anvil Ledge", Depth: gas.M(rapid.Float64Range(5, 45).Draw(t, "depth"))}, ines, "swell", m.now)
	},
	"depth": func(t *rapid.T, m *machine) {
		m.trip.SetDepth(m.person(t), gas.M(rapid.SampledFrom([]float64{0, 12, 20}).Draw(t, "depth")), ines, "ears", m.now)
	},
	"out":     func(t *rapid.T, m *machine) { m.trip.SitOut(m.person(t), ines, "cold", m.now) },
	"back in": func(t *rapid.T, m *machine) { m.trip.BackIn(m.person(t), ines, "warm", m.now) },
	"card": func(t *rapid.T, m *machine) {
		m.trip.SetCard(m.person(t), rapid.SampledFrom([]gas.Card{gas.CardSeen, gas.CardNone, gas.CardUnseen}).Draw(t, "card"), ines, m.now)
	},
	"dived": func(t *rapid.T, m *machine) {
		m.trip.SetDived(rapid.IntRange(0, 3).Draw(t, "dive"), roster.Dived{Person: m.person(t), Depth: gas.M(20), Minutes: 20}, m.now)
	},
	"departure": func(t *rapid.T, m *machine) { m.trip.SetDeparture(m.moment(t), "", m.now) },
	"policy": func(t *rapid.T, m *machine) {
		p := gas.DefaultPolicy()
		p.BoatCheck = rapid.SampledFrom([]gas.BoatCheck{gas.BoatCheckAll, gas.BoatCheckUnattended}).Draw(t, "boat check")
		m.trip.SetPolicy(p, "", m.now)
	},
	"join": func(t *rapid.T, m *machine) {
		m.trip.Join(m.person(t), roster.Address{Channel: "telegram", ID: ref(t)}, "en", m.now)
	},
	"leave":    func(t *rapid.T, m *machine) { m.trip.Leave(m.person(t), ines, "", m.now) },
	"erase":    func(t *rapid.T, m *machine) { m.trip.Erase(m.person(t), m.now) },
	"sign off": func(t *rapid.T, m *machine) { m.trip.SignOff(ines, m.now) },
	"reopen":   func(t *rapid.T, m *machine) { m.trip.Reopen(ines, "late", m.now) },
	"person": func(t *rapid.T, m *machine) {
		if len(m.trip.People) < 6 {
			m.trip.AddPerson(&roster.Person{Name: "Kenji", Team: rapid.SampledFrom([]string{"", "1"}).Draw(t, "team"), Card: gas.CardSeen,
				Cylinders: []*roster.Cylinder{{Dive: 1, Asked: 32}}}, "", m.now)
		}
	},
}

// queueActs change only the queue, which is no part of the record.
var queueActs = map[string]act{
	"queue up": func(t *rapid.T, m *machine) { m.trip.QueueUp(m.person(t), m.now) },
	"turns":    func(t *rapid.T, m *machine) { m.trip.NextTurns(m.now) },
	"pass":     func(t *rapid.T, m *machine) { m.trip.PassTurn(m.person(t), m.now) },
}

func percent(t *rapid.T) gas.Percent {
	return gas.Percent(rapid.SampledFrom([]float64{0, 19, 21, 22, 30.1, 31.9, 32, 32.4, 36, 36.2, 41}).Draw(t, "percent"))
}
func analyser(t *rapid.T) string {
	return rapid.SampledFrom([]string{"", "A", "b", "own"}).Draw(t, "analyser")
}
func ref(t *rapid.T) string { return rapid.SampledFrom([]string{"", "m1", "m2", "m3"}).Draw(t, "ref") }

func (m *machine) person(t *rapid.T) roster.PersonID {
	ids := []roster.PersonID{"", "p99"}
	for _, p := range m.trip.People {
		ids = append(ids, p.ID, p.ID, p.ID)
	}
	return rapid.SampledFrom(ids).Draw(t, "person")
}

func (m *machine) cylinder(t *rapid.T) roster.CylinderID {
	ids := []roster.CylinderID{"", "c99"}
	for _, p := range m.trip.People {
		for _, c := range p.Cylinders {
			ids = append(ids, c.ID, c.ID, c.ID)
		}
	}
	return rapid.SampledFrom(ids).Draw(t, "cylinder")
}

func (m *machine) reading(t *rapid.T) roster.ReadingID {
	ids := []roster.ReadingID{"", "r99"}
	for _, p := range m.trip.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				ids = append(ids, r.ID, r.ID, r.ID)
			}
		}
	}
	return rapid.SampledFrom(ids).Draw(t, "reading")
}

// moment is near now, on some clock that may be wrong.
func (m *machine) moment(t *rapid.T) time.Time {
	return m.now.Add(time.Duration(rapid.IntRange(-7200, 3600).Draw(t, "off")) * time.Second)
}

// step lets time pass and does one thing; it returns what.
func (m *machine) step(t *rapid.T) string {
	m.now = m.now.Add(time.Duration(rapid.IntRange(0, 1200).Draw(t, "passes")) * time.Second)
	all := map[string]act{}
	var names []string
	for _, group := range []map[string]act{acts, queueActs} {
		for name, a := range group {
			all[name] = a
			names = append(names, name)
		}
	}
	slices.Sort(names)
	name := rapid.SampledFrom(names).Draw(t, "act")
	all[name](t, m)
	return name
}

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
	got := new(roster.Trip)
	if err := json.Unmarshal([]byte(encode(t, trip)), got); err != nil {
		t.Fatal(err)
	}
	return got
}

var rank = map[gas.Status]int{gas.Go: 0, gas.GoWithLimits: 1, gas.NoReading: 2, gas.NoGo: 3}

// Whatever is done, in whatever order: nothing panics, the board adds up,
// nothing is lost or goes unnoted, and the trip survives its stored form.
func TestAnyDay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		for range rapid.IntRange(1, 25).Draw(rt, "steps") {
			before, noted, readings := encode(t, m.trip), len(m.trip.Acts), readingsIn(m.trip)
			what := m.step(rt)
			after := encode(t, m.trip)
			if _, queue := queueActs[what]; !queue && before != after && len(m.trip.Acts) == noted {
				rt.Fatalf("%q changed the trip and noted nothing", what)
			}
			if got := readingsIn(m.trip); got < readings {
				rt.Fatalf("%q lost readings: %d of %d left", what, got, readings)
			}
			if got := encode(t, copyOf(t, m.trip)); got != after {
				rt.Fatalf("stored form changed by reading it:\n%s", cmp.Diff(after, got))
			}
			checkBoard(rt, m.trip.Board(m.now))
			checkIDs(rt, m.trip)
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
		if rank[pb.Status] > rank[pb.Own] {
			t.Fatalf("%s: %v on the board, %v by itself: lifting shared limits made it worse", pb.Person, pb.Status, pb.Own)
		}
		if pb.Verdict.Cylinders == 0 && pb.Own != gas.NoReading {
			t.Fatalf("%s has no cylinder and is %v", pb.Person, pb.Own)
		}
	}
	if active == 0 {
		worst = gas.NoReading
	}
	c := b.Counts
	if b.Status != worst || c.Active != active || c.Go+c.Limits+c.NoGo+c.NoReading != active {
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
	ways := map[string]func(*roster.Trip, roster.PersonID, time.Time){
		"leaving":    func(tr *roster.Trip, p roster.PersonID, now time.Time) { tr.Leave(p, p, "", now) },
		"forgetting": func(tr *roster.Trip, p roster.PersonID, now time.Time) { tr.Erase(p, now) },
	}
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		for range rapid.IntRange(0, 30).Draw(rt, "steps") {
			m.step(rt)
		}
		before := m.trip.Board(m.now)
		for name, vanish := range ways {
			for _, p := range m.trip.People {
				trip := copyOf(t, m.trip)
				vanish(trip, p.ID, m.now)
				after := trip.Board(m.now)
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

// What a leader signed is what is known: while a signature stands, the board
// computed without it says what it says, for the same cylinders.
func TestSignaturesStandForWhatIsKnown(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		m.trip.Dives = m.trip.Dives[:1]
		for _, p := range m.trip.People {
			if len(p.Cylinders) > 1 {
				p.Cylinders = p.Cylinders[:1]
			}
		}
		for _, c := range []roster.CylinderID{"c4", "c6"} {
			m.now = m.now.Add(time.Minute)
			m.trip.Record(c, roster.Reading{Percent: 31.8, At: m.now, Ref: string(c), By: tomasz, Analyser: "A"}, m.now)
		}
		if _, ok := m.trip.SignOff(ines, m.now); !ok {
			rt.Fatal("not signed")
		}
		for range rapid.IntRange(1, 4).Draw(rt, "steps") {
			m.step(rt)
			s := m.trip.SignOffs[len(m.trip.SignOffs)-1]
			if s.Reopened != nil || m.now.After(m.trip.Ends(1)) || len(m.trip.Dives[0].Dived) > 0 {
				return // reopened, as it should be; or dived by now
			}
			unsigned := copyOf(t, m.trip)
			unsigned.SignOffs = nil
			unsigned.BoatOpen = time.Time{}
			now := unsigned.Board(s.At)
			for _, then := range s.Board.People {
				pb := now.Of(then.Person)
				if m.trip.Person(then.Person).Left.IsZero() && fmt.Sprint(pb.Active, pb.Own) != fmt.Sprint(then.Active, then.Own) {
					rt.Fatalf("%s was signed as active %v, %v, and is active %v, %v; the signature still stands",
						then.Person, then.Active, then.Own, pb.Active, pb.Own)
				}
			}
		}
	})
}
