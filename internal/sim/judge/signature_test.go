package judge

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func sign(at string, by roster.PersonID) Said { return says(at, by, SaidSign, diveNo(1), signed("s1")) }

func TestSignature(t *testing.T) {
	same := reads("08:40", tomasz, c17, "again", 32.1)
	other := reads("08:40", tomasz, c17, "again", 32.2)
	shallower := says("08:40", ines, SaidPlan, diveNo(1), plan(Dive{Site: "Anvil Ledge", Depth: 29, Minutes: 22}))
	asBefore := says("08:41", ines, SaidPlan, diveNo(1), plan(Dive{Site: "Anvil Ledge", Depth: 30, Minutes: 22}))
	for _, s := range []struct {
		name    string
		after   []Said
		at      string
		state   SignatureState
		differs string
	}{
		{"stands", nil, "08:31", Standing, ""},
		{"the same value said again", []Said{same}, "08:41", Standing, ""},
		{"another value", []Said{other}, "08:41", Broken, "tomasz cylinders"},
		{"a plan", []Said{shallower}, "08:41", Broken, "plan"},
		{"another site", []Said{says("08:40", ines, SaidPlan, diveNo(1),
			plan(Dive{Site: "Lime Kiln Wall", Depth: 30, Minutes: 22}))},
			"08:41", Broken, "plan"},
		{"the same site, written in another way",
			[]Said{says("08:40", ines, SaidPlan, diveNo(1), plan(Dive{Site: "anvil  ledge",
				Depth: 30, Minutes: 22}))}, "08:41", Standing, ""},
		{"broken stays broken", []Said{shallower, asBefore}, "08:42", Broken, "plan"},
		{"a plan that comes back within one change", []Said{together(shallower), together(asBefore)}, "08:42",
			Standing, ""},
		{"a name is no fact", []Said{says("08:40", tomasz, SaidRenamed, about(tomasz))}, "08:41", Standing, ""},
		{"a label is none", []Said{says("08:40", tomasz, SaidLabel, cylinder(c17), label("71"))}, "08:41", Standing, ""},
		{"another cylinder is one", []Said{says("08:40", noor, SaidAnother, cylinder(c17))}, "08:41", Broken,
			"tomasz status"},
		{"another cylinder with the same value in one change", []Said{
			together(says("08:40", noor, SaidAnother, cylinder(c17), label("30"))),
			together(reads("08:41", tomasz, c17, "again", 32.1))}, "08:42", Broken, "tomasz cylinders"},
		{"start moved by 60 minutes", []Said{startAt("08:40", "09:30")}, "08:41", Standing, ""},
		{"start moved by 61", []Said{startAt("08:40", "09:31")}, "08:41", Broken, "start"},
		{"a qualification", []Said{says("08:40", Shop, SaidQualification, about(tomasz), qualified(gas.M(40)))},
			"08:41", Broken, "tomasz qualification"},
		{"left", []Said{says("08:40", tomasz, SaidLeft, about(tomasz))}, "08:41", Broken, "tomasz role"},
		{"carbon monoxide", []Said{says("08:40", tomasz, SaidCarbonMonoxide, cylinder(c17), carbonOf(1))}, "08:41",
			Broken, "tomasz cylinders"},
		{"three hours after the start", nil, "12:00", Standing, ""},
		{"a second more", nil, "12:00:01", Lapsed, ""},
		{"the start when it was given", []Said{startAt("08:40", "09:30")}, "12:00:01", Lapsed, ""},
		{"taken back by a leader", []Said{says("08:40", ines, SaidUnsigned, diveNo(1))}, "08:41", Withdrawn, ""},
		{"taken back stays taken back", []Said{says("08:40", ines, SaidUnsigned, diveNo(1)), other}, "08:42",
			Withdrawn, ""},
		{"not by crew", []Said{says("08:40", noor, SaidUnsigned, diveNo(1))}, "08:41", Standing, ""},
		{"not of a dive that was dived", []Said{says("09:40", ines, SaidDived, diveNo(1)),
			says("09:41", ines, SaidUnsigned, diveNo(1))}, "09:50", Standing, ""},
		{"a broken one stays broken", []Said{other, says("08:41", ines, SaidUnsigned, diveNo(1))}, "08:42", Broken,
			"tomasz cylinders"},
		{"dived, said later", []Said{says("14:00", ines, SaidDived, diveNo(1))}, "14:01", Standing, ""},
		{"dived is dived by a leader only", []Said{says("14:00", noor, SaidDived, diveNo(1))}, "14:01", Lapsed, ""},
		{"late news", []Said{says("09:40", ines, SaidDived, diveNo(1)), says("09:45", Shop, SaidFill, cylinder(c17))},
			"09:50", Standing, ""},
		{"dived taken back, then changed", []Said{says("09:40", ines, SaidDived, diveNo(1)), says("09:42", ines,
			SaidDivedBack, diveNo(1)), says("09:45", Shop, SaidFill, cylinder(c17))},
			"09:50", Broken, "tomasz status"},
	} {
		t.Run(s.name, func(t *testing.T) {
			said := append(append(everybody(), sign("08:30", ines)), s.after...)
			got := Judge(booked(), said, clock(s.at)).Signatures[0]
			if got.State != s.state || got.Differs != s.differs {
				t.Errorf("got %s %q, want %s %q", got.State, got.Differs, s.state, s.differs)
			}
		})
	}
}

// together makes an entry part of one stored change.
func together(s Said) Said {
	s.Change = 1
	return s
}

func TestSignLapsesAfterItWasGiven(t *testing.T) {
	b := booked()
	b.Policy.FreshFor = 24
	said := append(everybody(), sign("11:00", ines))
	for at, want := range map[string]SignatureState{"14:00": Standing, "14:00:01": Lapsed} {
		if got := Judge(b, said, clock(at)).Signatures[0].State; got != want {
			t.Errorf("%s: got %s, want %s", at, got, want)
		}
	}
}

func TestWhoMaySign(t *testing.T) {
	for _, s := range []struct {
		name string
		said []Said
		want int
	}{
		{"a leader", []Said{sign("08:30", ines)}, 1},
		{"not crew", []Said{sign("08:30", noor)}, 0},
		{"not with a no-go", []Said{reads("08:15", tomasz, c17, "r9", 36), sign("08:30", ines)}, 0},
		{"not after the fact", []Said{says("08:29", ines, SaidDived, diveNo(1)), sign("08:30", ines)}, 0},
		{"who took over", []Said{says("08:20", noor, SaidTakeOver, about(noor), witness(ana)), sign("08:30", noor)}, 1},
		{"not without a second person", []Said{says("08:20", noor, SaidTakeOver, about(noor)), sign("08:30", noor)}, 0},
		{"to whom it was handed over", []Said{says("08:20", ines, SaidHandOver, about(noor)), sign("08:30", noor)}, 1},
		{"not who handed over", []Said{says("08:20", ines, SaidHandOver, about(noor)), sign("08:30", ines)}, 0},
	} {
		t.Run(s.name, func(t *testing.T) {
			if got := len(Judge(booked(), append(everybody(), s.said...), clock("08:31")).Signatures); got != s.want {
				t.Errorf("got %d signatures, want %d", got, s.want)
			}
		})
	}
}

// What only the clock changed is no difference: at 12:15 the readings are older than four hours.
func TestClockBreaksNothing(t *testing.T) {
	said := append(everybody(), sign("08:30", ines), says("12:30", ana, SaidRenamed, about(ana)))
	got := Judge(booked(), said, clock("12:30").Add(time.Minute)).Signatures[0]
	if got.State != Lapsed {
		t.Errorf("got %s %q, want lapsed", got.State, got.Differs)
	}
}
