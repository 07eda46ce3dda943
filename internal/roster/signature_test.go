package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// What breaks a signature and what does not, found by comparing alone (product
// rules).
func TestWhatBreaksASignature(t *testing.T) {
	for name, tt := range map[string]struct {
		do   func(*roster.Draft)
		what string // "" when it stands
	}{
		"a reading":         {func(d *roster.Draft) { read(d, "c4", 32, tomasz, at(60)) }, "cylinders"},
		"a watched reading": {func(d *roster.Draft) { watched(d, "c4", 32, at(60)) }, "cylinders"},
		"an undo":           {func(d *roster.Draft) { d.Undo("r11", tomasz, at(60)) }, "cylinders"},
		"a fill":            {func(d *roster.Draft) { d.Fill("c4", time.Time{}, "", at(60)) }, "cylinders"},
		"another cylinder":  {func(d *roster.Draft) { d.Swap("c4", "", ines, "valve", at(60)) }, "cylinders"},
		"carbon monoxide":   {func(d *roster.Draft) { d.SetCO("c4", 1, time.Time{}, tomasz, at(60)) }, "cylinders"},
		"a boat answer":     {func(d *roster.Draft) { d.Attend("c4", roster.Unsure, tomasz, at(60)) }, "cylinders"},
		"the check again":   {func(d *roster.Draft) { d.OpenBoat(1, ines, at(60)) }, "cylinders"},
		"a question": {func(d *roster.Draft) {
			d.Ask([]roster.CylinderID{"c4"}, roster.QuestionRange, 45, tomasz,
				at(60))
		}, "status"},
		"a card":          {func(d *roster.Draft) { d.SetCard(tomasz, gas.CardNone, tomasz, "", at(60)) }, "card"},
		"a qualification": {func(d *roster.Draft) { d.SetDepthLimit(tomasz, gas.M(40), ines, "", at(60)) }, "qualification"},
		"a limit": {func(d *roster.Draft) { d.SetLimit(tomasz, roster.Limit{Depth: gas.M(20), By: ines}, at(60)) },
			"limit"},
		"a team":      {func(d *roster.Draft) { d.SetTeam(tomasz, "2", ines, at(60)) }, "team"},
		"leaving":     {func(d *roster.Draft) { d.Leave(tomasz, tomasz, "", at(60)) }, "left"},
		"forgetting":  {func(d *roster.Draft) { d.Erase(tomasz, at(60)) }, "left"},
		"sitting out": {func(d *roster.Draft) { d.SitOut(tomasz, 1, ines, "gear", at(60)) }, "out"},
		"outside":     {func(d *roster.Draft) { d.SetOutside(tomasz, 0, "", "rebreather", at(60)) }, "out"},
		"helium":      {func(d *roster.Draft) { d.MustSpeak(tomasz, roster.Speak{At: at(60), Was: "trimix"}) }, "speak"},
		"words of alarm": {func(d *roster.Draft) {
			d.MustSpeak(tomasz, roster.Speak{At: at(60), Was: "it leaks", Kind: roster.SpeakLeak})
		}, "speak"},
		"one more diver": {func(d *roster.Draft) { d.AddPerson(&roster.Person{Name: "Kenji"}, "", at(60)) }, "role"},
		"a role":         {func(d *roster.Draft) { d.SetRole(tomasz, false, true, "", at(60)) }, "role"},
		"a deeper plan": {func(d *roster.Draft) {
			p := d.Dives[0]
			p.Depth = gas.M(31)
			d.SetDive(1, p, "", "",
				at(60))
		}, "depth"},
		"a policy":           {func(d *roster.Draft) { p := d.Policy; p.GF = 80; d.SetPolicy(p, "", at(60)) }, "policy gf"},
		"start 61 min later": {func(d *roster.Draft) { d.SetDeparture(departs.Add(61*time.Minute), ines, at(60)) }, "start"},

		"start an hour later":  {func(d *roster.Draft) { d.SetDeparture(departs.Add(time.Hour), ines, at(60)) }, ""},
		"the same boat answer": {func(d *roster.Draft) { d.Attend("c4", roster.Kept, tomasz, at(60)) }, ""},
		"the same number again": {func(d *roster.Draft) {
			read(d, "c4", 32.1, tomasz, at(60))
			d.EditCylinder("c4").Readings[1].Analyser = "A"
		}, ""},
		"a label": {func(d *roster.Draft) { d.SetLabel("c4", "17", tomasz, at(60)) }, ""},
		"another site": {func(d *roster.Draft) {
			p := d.Dives[0]
			p.Site = "Anvil"
			d.SetDive(1, p, ines,
				"", at(60))
		}, "site"},
		"a site written otherwise": {func(d *roster.Draft) {
			p := d.Dives[0]
			p.Site = "anvil  ledge"
			d.SetDive(1, p,
				ines, "", at(60))
		}, ""},
		"a reading of dive 2's cylinder": {func(d *roster.Draft) { read(d, "c5", 36, tomasz, at(60)) }, ""},
		"a joining phone": {func(d *roster.Draft) {
			d.Join(tomasz, roster.Address{Channel: "web", ID: "1"},
				"pl", at(60))
		}, ""},
		"the trip's name": {func(d *roster.Draft) { d.Rename("Sunday", "", at(60)) }, ""},
		"it was dived":    {func(d *roster.Draft) { d.SetDived(1, roster.Dived{By: ines}, at(120)) }, ""},
	} {
		t.Run(name, func(t *testing.T) {
			trip := signed(t)
			tt.do(trip)
			next := trip.Done() // nobody has to remember to compare
			b := next.SignOffs[0].Broken
			switch {
			case tt.what == "" && b != nil:
				t.Errorf("broken by %+v", b)
			case tt.what != "" && b == nil:
				t.Error("it stands")
			case tt.what != "" && b.What != tt.what:
				t.Errorf("broken by %+v, want %s", b, tt.what)
			}
			if b != nil && (next.Signed(1, at(61)) || next.DefaultDive(at(61)) != 1) {
				t.Error("broken, and it stands")
			}
		})
	}
}

func TestABrokenSignatureStaysBroken(t *testing.T) {
	trip := signed(t)
	trip.SetCard(tomasz, gas.CardNone, ines, "", at(60))
	trip = roster.Change(trip.Done())
	trip.SetCard(tomasz, gas.CardSeen, ines, "", at(61))
	next := trip.Done()
	if s := next.Signature(1); s.Broken == nil || next.Standing(s, at(62)).State != roster.StandsBroken {
		t.Errorf("got %+v", s.Broken)
	}
}

func TestASignatureLapses(t *testing.T) {
	trip := signed(t).Trip
	s := trip.Signature(1)
	end := departs.Add(3 * time.Hour)
	if got := trip.Standing(s, end).State; got != roster.StandsStanding {
		t.Errorf("three hours after the planned start: %s", got)
	}
	if got := trip.Standing(s, end.Add(time.Second)).State; got != roster.StandsLapsed {
		t.Errorf("after that: %s", got)
	}
	d := roster.Change(trip)
	d.SetDived(1, roster.Dived{By: ines}, end.Add(time.Hour))
	if next := d.Done(); next.Standing(next.Signature(1), end.Add(2*time.Hour)).State != roster.StandsStanding {
		t.Error("a later answer that it was dived lets it stand")
	}
	late := ready()
	aboard(late, 1, departs.Add(2*time.Hour))
	for _, c := range []roster.CylinderID{"c4", "c6"} {
		read(late, c, 32.1, owner(late, c), departs.Add(2*time.Hour+time.Duration(len(late.Acts))*time.Minute))
	}
	signOff(t, late, 1, departs.Add(150*time.Minute))
	if got := late.SignOffs[0].Lapses; !got.Equal(departs.Add(330 * time.Minute)) {
		t.Errorf("given after the start: lapses %v", got)
	}
}

func TestRefusals(t *testing.T) {
	whys := func(refused []roster.Refusal) (whys []roster.Why) {
		for _, r := range refused {
			whys = append(whys, r.Why)
		}
		return whys
	}
	for name, tt := range map[string]struct {
		do   func(*roster.Draft)
		by   roster.PersonID
		want []roster.Why
	}{
		"nothing": {func(*roster.Draft) {}, ines, nil},
		"a diver": {func(*roster.Draft) {}, tomasz, []roster.Why{roster.WhyNotALeader}},
		"a no-go and one that owes": {func(d *roster.Draft) {
			read(d, "c4", 36, tomasz, at(50))
			d.SetCard(marit, gas.CardUnseen, ines, "", at(50))
		}, ines, []roster.Why{roster.WhyNoGo, roster.WhyNotCleared}},
		"nobody dives": {func(d *roster.Draft) {
			d.SitOut(tomasz, 1, ines, "gear", at(50))
			d.SitOut(marit, 0, ines, "gear", at(50))
		}, ines, []roster.Why{roster.WhyNobody}},
		"the start moved after the check": {func(d *roster.Draft) {
			d.SetDeparture(departs.Add(61*time.Minute), ines,
				at(50))
		}, ines,
			[]roster.Why{roster.WhyStartMoved}},
		"dived": {func(d *roster.Draft) { d.SetDived(1, roster.Dived{By: ines}, at(50)) }, ines,
			[]roster.Why{roster.WhyDived}},
		"the second dive was dived first": {func(d *roster.Draft) { d.SetDived(2, roster.Dived{By: ines}, at(50)) }, ines,
			[]roster.Why{roster.WhyLaterDived}},
	} {
		t.Run(name, func(t *testing.T) {
			trip := ready()
			aboard(trip, 1, at(30))
			tt.do(trip)
			got := whys(trip.Refusals(1, tt.by, at(60)))
			if len(got) != len(tt.want) {
				t.Fatalf("got %v, want %v", got, tt.want)
			}
			for i := range got {
				if got[i] != tt.want[i] {
					t.Errorf("got %v, want %v", got, tt.want)
				}
			}
			if _, ok := trip.SignOff(1, tt.by, at(60)); ok != (len(tt.want) == 0) {
				t.Errorf("signed: %v", ok)
			}
		})
	}
}

func TestWithdrawAndSignAgain(t *testing.T) {
	trip := signed(t)
	if trip.Withdraw(1, tomasz, "x", at(60)) || trip.Withdraw(2, ines, "x", at(60)) ||
		!trip.Withdraw(1, ines, "forgot Kenji", at(60)) {
		t.Fatal("a leader withdraws what stands, nobody else anything")
	}
	signOff(t, trip, 1, at(61))
	if len(trip.SignOffs) != 2 || trip.SignOffs[0].Withdrawn.Reason != "forgot Kenji" || !trip.Signed(1, at(62)) {
		t.Errorf("both versions: got %+v", trip.SignOffs)
	}
}

func TestDivedNotSigned(t *testing.T) {
	trip := ready()
	if trip.SetDived(1, roster.Dived{By: tomasz}, at(120)) ||
		trip.SetDived(1, roster.Dived{By: tomasz, Person: tomasz}, at(120)) == trip.WasDived(1) {
		t.Error("only a leader makes a dive dived")
	}
	trip.SetDived(1, roster.Dived{By: ines}, at(120))
	if trip.Signature(1) != nil || !trip.WasDived(1) || trip.DefaultDive(at(121)) != 2 || !trip.Board(1, at(121)).Dived {
		t.Error("dived, not signed")
	}
	for i, c := range []struct {
		said, want  gas.Depth
		minutes, is float64
	}{{gas.M(25), gas.M(30), 22, 22}, {gas.M(32), gas.M(32), 18, 22}, {gas.M(31), gas.M(32), 25, 25}} {
		trip.SetDived(1, roster.Dived{By: tomasz, Person: tomasz, Depth: c.said, Minutes: c.minutes}, at(122+i))
		if d, ok := trip.DivedBy(1, tomasz); !ok || d.Depth != c.want || d.Minutes != c.is {
			t.Errorf("a diver corrects it for themself to deeper and longer only: got %v, %v min, want %v, %v min", d.Depth,
				d.Minutes, c.want, c.is)
		}
	}
	trip.SetDived(1, roster.Dived{By: ines, Depth: gas.M(40)}, at(124))
	if !trip.TakeBackDived(1, ines, at(124)) || trip.WasDived(1) {
		t.Error("not taken back")
	}
	if d, ok := trip.DivedBy(1, tomasz); !ok || d.Depth != gas.M(32) || d.Minutes != 25 {
		t.Errorf("after it was taken back %v, %v min, want what the diver said of themself", d.Depth, d.Minutes)
	}
	if _, ok := trip.DivedBy(1, ines); ok {
		t.Error("what the leader said of all stays")
	}
}
