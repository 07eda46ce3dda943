package roster_test

import (
	"slices"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// machine does to a trip whatever people might, in any order.
type machine struct {
	trip *roster.Draft
	now  time.Time
}

func newMachine() *machine { return &machine{trip: charter(), now: dawn} }

// act is one thing done, with arguments drawn from what the trip holds and a
// little from what it doesn't.
type act func(t *rapid.T, m *machine)

var acts = map[string]act{
	"record": func(t *rapid.T, m *machine) {
		m.trip.Record(m.cylinder(t), roster.Reading{Percent: percent(t), At: m.moment(t), Ref: ref(t), By: m.person(t),
			Analyser: analyser(t), Witness: m.person(t), AirPoint: rapid.SampledFrom([]gas.Percent{0, 0, 19, 20.9}).Draw(t,
				"air")}, m.now)
	},
	"witness": func(t *rapid.T, m *machine) { m.trip.NameWitness(m.cylinder(t), m.person(t), ines, m.now) },
	"ask": func(t *rapid.T, m *machine) {
		m.trip.Ask([]roster.CylinderID{m.cylinder(t)}, roster.QuestionRange, percent(t), m.person(t), m.now)
	},
	"answer": func(t *rapid.T, m *machine) {
		m.trip.CloseQuestion("q"+rapid.StringMatching("1[0-9]").Draw(t, "question"), true, m.person(t), m.now)
	},
	"series":       func(t *rapid.T, m *machine) { m.trip.SetAsideSeries(ines, m.now) },
	"move to dive": func(t *rapid.T, m *machine) { m.trip.MoveCylinder(m.cylinder(t), diveOf(t), m.person(t), m.now) },
	"confirm move": func(t *rapid.T, m *machine) { m.trip.ConfirmMoved(m.cylinder(t), diveOf(t), m.person(t), m.now) },
	"outside": func(t *rapid.T, m *machine) {
		m.trip.SetOutside(m.person(t), diveOf(t), m.person(t), "rebreather", m.now)
	},
	"inside":      func(t *rapid.T, m *machine) { m.trip.EndOutside(m.person(t), diveOf(t), m.person(t), m.now) },
	"helium":      func(t *rapid.T, m *machine) { m.trip.MustSpeak(m.person(t), roster.Speak{At: m.now, Was: "trimix"}) },
	"helium slip": func(t *rapid.T, m *machine) { m.trip.Settled(m.person(t), m.person(t), m.now) },
	"back":        func(t *rapid.T, m *machine) { m.trip.BringBack(m.person(t), m.person(t), m.now) },
	"role": func(t *rapid.T, m *machine) {
		m.trip.SetRole(m.person(t), rapid.Bool().Draw(t, "leader"), rapid.Bool().Draw(t, "crew"), "", m.now)
	},
	"hand over": func(t *rapid.T, m *machine) { m.trip.HandOver(m.person(t), m.person(t), m.now) },
	"team": func(t *rapid.T, m *machine) {
		m.trip.SetTeam(m.person(t), rapid.SampledFrom([]string{"", "1", "2"}).Draw(t, "team"), m.person(t), m.now)
	},
	"team limit": func(t *rapid.T, m *machine) {
		m.trip.SetTeamLimit(roster.Limit{Team: "1", Dive: diveOf(t),
			Depth: gas.M(rapid.SampledFrom([]float64{0, 12, 20}).Draw(t, "depth")), By: m.person(t)}, m.now)
	},
	"not dived":  func(t *rapid.T, m *machine) { m.trip.SetNotDived(diveOf(t), m.person(t), m.now) },
	"dived back": func(t *rapid.T, m *machine) { m.trip.TakeBackDived(diveOf(t), m.person(t), m.now) },
	"consent":    func(t *rapid.T, m *machine) { m.trip.Consent(m.person(t), m.now) },
	"correct": func(t *rapid.T, m *machine) {
		m.trip.Correct(m.reading(t), percent(t), m.person(t), m.moment(t), m.now)
	},
	"undo": func(t *rapid.T, m *machine) { m.trip.Undo(m.reading(t), m.person(t), m.now) },
	"move": func(t *rapid.T, m *machine) { m.trip.MoveReading(m.reading(t), m.cylinder(t), m.person(t), m.now) },
	"confirm": func(t *rapid.T, m *machine) {
		m.trip.Confirm(m.reading(t), rapid.SampledFrom([]gas.Shown{gas.ShownDecimals, gas.ShownNoDecimal}).Draw(t, "shown"),
			m.person(t), m.now)
	},
	"analyser": func(t *rapid.T, m *machine) { m.trip.SetAnalyser(m.reading(t), analyser(t), m.person(t), m.now) },
	"air": func(t *rapid.T, m *machine) {
		m.trip.SetAirPoint(analyser(t), rapid.SampledFrom([]gas.Percent{0, 19, 20.9}).Draw(t, "air"), gas.Weather{},
			m.person(t), m.now)
	},
	"label": func(t *rapid.T, m *machine) {
		m.trip.SetLabel(m.cylinder(t), rapid.SampledFrom([]string{"", "17", "22"}).Draw(t, "label"), m.person(t), m.now)
	},
	"asked": func(t *rapid.T, m *machine) { m.trip.SetAsked(m.cylinder(t), percent(t), m.person(t), m.now) },
	"lock":  func(t *rapid.T, m *machine) { m.trip.LockFills("", m.now) },
	"fill":  func(t *rapid.T, m *machine) { m.trip.Fill(m.cylinder(t), m.moment(t), m.person(t), m.now) },
	"swap": func(t *rapid.T, m *machine) {
		m.trip.Swap(m.cylinder(t), rapid.SampledFrom([]string{"", "17", "22"}).Draw(t, "label"), m.person(t), "valve", m.now)
	},
	"retire": func(t *rapid.T, m *machine) { m.trip.Retire(m.cylinder(t), m.person(t), "valve", m.now) },
	"add": func(t *rapid.T, m *machine) {
		m.trip.AddCylinder(m.person(t), diveOf(t), percent(t), rapid.SampledFrom([]string{"", "17"}).Draw(t, "label"), ines,
			m.now)
	},
	"replan":    func(t *rapid.T, m *machine) { m.trip.Replan(m.cylinder(t), ines, m.now) },
	"open boat": func(t *rapid.T, m *machine) { m.trip.OpenBoat(diveOf(t), ines, m.now) },
	"attend": func(t *rapid.T, m *machine) {
		m.trip.Attend(m.cylinder(t), rapid.SampledFrom([]string{roster.Kept, roster.OutOfSight, roster.Unsure}).Draw(t,
			"answer"), m.person(t), m.now)
	},
	"site": func(t *rapid.T, m *machine) {
		m.trip.SetDive(rapid.IntRange(0, 3).Draw(t, "dive"),
			roster.Dive{Site: "Anvil Ledge", Depth: gas.M(rapid.Float64Range(5, 45).Draw(t, "depth")), Minutes: 20},
			rapid.SampledFrom([]roster.PersonID{"", ines}).Draw(t, "by"), "swell", m.now)
	},
	"depth": func(t *rapid.T, m *machine) {
		m.trip.SetLimit(m.person(t), roster.Limit{Depth: gas.M(rapid.SampledFrom([]float64{0, 12, 20}).Draw(t, "depth")),
			By: m.person(t), Why: "ears"}, m.now)
	},
	"out":     func(t *rapid.T, m *machine) { m.trip.SitOut(m.person(t), diveOf(t), ines, "gear", m.now) },
	"back in": func(t *rapid.T, m *machine) { m.trip.BackIn(m.person(t), diveOf(t), ines, "warm", m.now) },
	"card": func(t *rapid.T, m *machine) {
		m.trip.SetCard(m.person(t), rapid.SampledFrom([]gas.Card{gas.CardSeen, gas.CardNone, gas.CardUnseen}).Draw(t,
			"card"), m.person(t), m.person(t), m.now)
	},
	"dived": func(t *rapid.T, m *machine) {
		m.trip.SetDived(rapid.IntRange(0, 3).Draw(t, "dive"),
			roster.Dived{Person: m.person(t), Depth: gas.M(20), Minutes: 20, By: m.person(t)}, m.now)
	},
	"departure": func(t *rapid.T, m *machine) { m.trip.SetDeparture(m.moment(t), "", m.now) },
	"policy": func(t *rapid.T, m *machine) {
		p := gas.DefaultPolicy(gas.Metres)
		p.BoatCheck = rapid.SampledFrom([]gas.BoatCheck{gas.BoatCheckAll, gas.BoatCheckUnattended}).Draw(t, "boat check")
		m.trip.SetPolicy(p, "", m.now)
	},
	"join": func(t *rapid.T, m *machine) {
		m.trip.Join(m.person(t), roster.Address{Channel: "telegram", ID: ref(t)}, "en", m.now)
	},
	"leave":    func(t *rapid.T, m *machine) { m.trip.Leave(m.person(t), ines, "", m.now) },
	"erase":    func(t *rapid.T, m *machine) { m.trip.Erase(m.person(t), m.now) },
	"sign off": func(t *rapid.T, m *machine) { m.trip.SignOff(diveOf(t), ines, m.now) },
	"withdraw": func(t *rapid.T, m *machine) { m.trip.Withdraw(diveOf(t), ines, "late", m.now) },
	"person": func(t *rapid.T, m *machine) {
		if len(m.trip.People) < 6 {
			m.trip.AddPerson(&roster.Person{Name: "Kenji", Team: rapid.SampledFrom([]string{"", "1"}).Draw(t, "team"),
				Card:      gas.CardSeen,
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

func diveOf(t *rapid.T) int { return rapid.IntRange(0, 3).Draw(t, "dive") }

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

// publish ends the draft and begins the next one.
func (m *machine) publish() *roster.Trip {
	t := m.trip.Done()
	m.trip = roster.Change(t)
	return t
}

// mayPublish ends the draft or goes on with it.
func (m *machine) mayPublish(t *rapid.T) {
	if rapid.Bool().Draw(t, "publish") {
		m.publish()
	}
}
