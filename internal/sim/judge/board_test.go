package judge

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// everybody has read a number and the check is open.
func everybody() []Said {
	return []Said{
		opened("08:00"),
		reads("08:10", tomasz, c17, "r1", 32.1), reads("08:11", ines, c18, "r2", 31.4), reads("08:12", ana, c22, "r3",
			32.3),
	}
}

func people(p ...roster.PersonID) []roster.PersonID { return p }

func boardOf(said []Said, at string) DiveVerdict { return Judge(booked(), said, clock(at)).Dives[0] }

func TestBoard(t *testing.T) {
	out := func(p roster.PersonID) Said { return says("08:20", ines, SaidOut, about(p), diveNo(1)) }
	for _, s := range []struct {
		name    string
		said    []Said
		status  Status
		counts  Counts
		refused []Refusal
	}{
		{"nobody read", nil, StatusNotCleared, Counts{NotCleared: 3},
			[]Refusal{{WhyNotCleared, people(ines, tomasz, ana)}, {Why: WhyBoatCheck}}},
		{"everybody go", everybody(), StatusGo, Counts{Go: 3}, nil},
		{"one no-go", append(everybody(), reads("08:15", tomasz, c17, "r9", 36)), StatusNoGo, Counts{Go: 2, NoGo: 1},
			[]Refusal{{WhyNoGo, people(tomasz)}}},
		{"and sat out", append(everybody(), reads("08:15", tomasz, c17, "r9", 36), out(tomasz)), StatusGo,
			Counts{Go: 2, Out: 1}, nil},
		{"the check not opened", everybody()[1:], StatusGo, Counts{Go: 3}, []Refusal{{Why: WhyBoatCheck}}},
		{"nobody dives", append(everybody(), out(tomasz), out(ines), out(ana)), StatusNotCleared, Counts{Out: 3},
			[]Refusal{{Why: WhyNobody}}},
		{"start moved by an hour", append(everybody(), startAt("08:15", "09:30")), StatusGo, Counts{Go: 3}, nil},
		{"start moved by more", append(everybody(), startAt("08:15", "09:31")), StatusGo, Counts{Go: 3},
			[]Refusal{{Why: WhyStartMoved}}},
	} {
		t.Run(s.name, func(t *testing.T) {
			got := boardOf(s.said, "08:30")
			if got.Status != s.status || got.Counts != s.counts {
				t.Errorf("got %v %+v, want %v %+v", got.Status, got.Counts, s.status, s.counts)
			}
			if diff := cmp.Diff(s.refused, got.Refused); diff != "" {
				t.Errorf("refused (-want +got):\n%s", diff)
			}
		})
	}
}

// startAt moves the departure; the first dive is half an hour after it.
func startAt(at, departs string) Said {
	return says(at, ines, SaidStart, func(s *Said) { s.Departs, s.FirstDiveAfter = clock(departs), 30 })
}

func TestGroup(t *testing.T) {
	said := append(everybody(), says("08:20", ines, SaidLimit, about(ana), diveNo(1), limit(31, 0)))
	// 32.1: 33 m and 24 min, 31.4: 34 m and 23 min, 32.3: 33 m and 24 min; 1.5 x 22 is 33 min.
	got, want := boardOf(said, "08:30").Group, Group{MaxDepth: 31, DepthBy: ana, MaxMinutes: 23, TimeBy: ines}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	b := booked()
	b.Dives[0].Minutes = 15
	if got := Judge(b, said, clock("08:30")).Dives[0].Group; got.TimeBy != "" {
		t.Errorf("23 minutes are more than 1.5 x 15: got %+v, want no time", got)
	}
}

func TestOneDiverNeverLifts(t *testing.T) {
	var zero Severity
	if got := worse(zero, Pass); got != NoGo {
		t.Errorf("an undefined severity: got %v, want no-go", got)
	}
	if got := Status(99).String(); got != "not-cleared" {
		t.Errorf("an undefined status: got %s, want not-cleared", got)
	}
}

func TestDivedStaysAsItWas(t *testing.T) {
	said := append(everybody(), says("14:00", ines, SaidDived, diveNo(1)), says("14:05", Shop, SaidFill,
		cylinder(c17)))
	got := boardOf(said, "14:10")
	if !got.Dived || got.Status != StatusGo {
		t.Errorf("got dived %v, %v; want dived, go", got.Dived, got.Status)
	}
}
