package roster_test

import (
	"encoding/json"
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestJoin(t *testing.T) {
	trip := charter()
	phone, page := roster.Address{Channel: "telegram", ID: "42"}, roster.Address{Channel: "web", ID: "x"}
	trip.Edit(tomasz).Unreachable = "blocked"
	trip.Join(tomasz, phone, "pl", at(0))
	trip.Join(tomasz, page, "en", at(1))
	trip.Join(tomasz, phone, "en", at(2))
	p := trip.Person(tomasz)
	if !p.Joined.Equal(at(0)) || p.Language != "pl" || p.Unreachable != "" {
		t.Errorf("joined as %+v", p)
	}
	if len(p.Addresses) != 2 || p.Addresses[1] != phone {
		t.Errorf("addresses: got %v, want the last one used last", p.Addresses)
	}
	for _, a := range trip.Acts {
		if strings.Contains(a.On+a.Reason+a.Detail["channel"], "42") {
			t.Errorf("the log holds an address: %+v", a)
		}
	}
}

// After /forget nothing of the trip's data names or finds the person.
func TestErase(t *testing.T) {
	trip := ready()
	trip.Join(tomasz, roster.Address{Channel: "telegram", ID: "4242"}, "pl", at(0))
	trip.Edit(tomasz).Units = "ft"
	trip.EditCylinder("c4").Readings[0].Ref = "tg:4242:17"
	trip.EditCylinder("c5").Readings[0].Ref = "tg:4242:18"
	generation := trip.Person(tomasz).Generation
	trip.QueueUp(tomasz, at(1))
	trip.Erase(tomasz, at(2))

	b, err := json.Marshal(trip)
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{"Tomasz", "4242", `"pl"`} {
		if strings.Contains(string(b), word) {
			t.Errorf("still in the trip: %s", word)
		}
	}
	p := trip.Person(tomasz)
	if p.Name != roster.ErasedName || !p.Erased || p.Generation == generation || p.Left.IsZero() || trip.Queued(tomasz) {
		t.Errorf("erased as %+v", p)
	}
	if e := trip.Evidence("c4", at(3)); !e.Counts() {
		t.Error("the anonymous reading is gone")
	}
	trip.Join(tomasz, roster.Address{Channel: "telegram", ID: "5"}, "", at(3))
	if len(p.Addresses) != 0 {
		t.Error("somebody erased joined again")
	}
}

func TestEraseAfterTheLastDive(t *testing.T) {
	trip := ready()
	signOff(t, trip, 1, at(10))
	trip.SetDived(1, roster.Dived{By: ines}, at(120))
	trip.SetDived(2, roster.Dived{By: ines}, at(220))
	trip.Erase(tomasz, at(230))
	if trip.Person(tomasz).Left.IsZero() {
		t.Error("whoever forgot has left, should a dive be taken back")
	}
	if b := board(t, trip, 1, at(240)); b.Status != gas.Go || !b.Dived {
		t.Error("the signed board changed")
	}
}

func TestAddPerson(t *testing.T) {
	trip := roster.Change(roster.NewTrip("", ""))
	p := &roster.Person{Name: "Aoife", Cylinders: []*roster.Cylinder{{Dive: 1}, {Dive: 1}}}
	trip.AddPerson(p, "", at(0))
	if p.ID != "p1" || p.Cylinders[0].ID != "c2" || p.Cylinders[1].ID != "c3" || p.Generation != 1 ||
		p.Card != gas.CardUnseen {
		t.Errorf("added as %+v", p)
	}
}

func TestARevokedInviteCutsOff(t *testing.T) {
	trip := roster.Change(roster.NewTrip("", ""))
	trip.EditAnalyser("A")
	p := &roster.Person{Name: "Aoife", Cylinders: []*roster.Cylinder{{Dive: 1}}}
	trip.AddPerson(p, "", at(0))
	phone := roster.Address{Channel: "telegram", ID: "1"}
	trip.Join(p.ID, phone, "en", at(0))
	trip.QueueUp(p.ID, at(0))
	trip.CloseInvite(p.ID, "", at(1))
	if p.Generation != 2 || len(p.Addresses) != 1 || p.Joined.IsZero() {
		t.Errorf("after closing the invite: %+v; want generation 2 and still joined", p)
	}
	trip.Revoke(p.ID, "", at(2))
	if p.Generation != 3 || len(p.Addresses) != 0 || !p.Joined.IsZero() || trip.Queued(p.ID) {
		t.Errorf("after revoking the invite: %+v; want generation 3, nowhere to write to, not joined, not queueing", p)
	}
}

func TestActsSayWhoWhenAndWhy(t *testing.T) {
	trip := ready()
	trip.SetLimit(tomasz, roster.Limit{Depth: gas.M(20), By: ines, Why: "ears"}, at(5))
	trip.SetDive(1, roster.Dive{Site: "Lime Kiln Wall", Depth: gas.M(18), Bottomless: true, Minutes: 20}, ines, "swell",
		at(6))
	for i, want := range []roster.Act{
		{At: at(5), By: ines, Verb: roster.VerbLimit, On: string(tomasz), Reason: "ears",
			Detail: map[string]string{"now": "20 m"}},
		{At: at(6), By: ines, Verb: roster.VerbSite, Reason: "swell",
			Detail: map[string]string{"dive": "1", "was_site": "Anvil Ledge", "site": "Lime Kiln Wall",
				"was_depth": "30 m", "depth": "18 m", "was_bottom": "30 m", "bottom": "none", "was_minutes": "22",
				"minutes": "20"}},
	} {
		got, _ := json.Marshal(trip.Acts[i])
		exp, _ := json.Marshal(want)
		if string(got) != string(exp) {
			t.Errorf("act %d:\n got %s\nwant %s", i, got, exp)
		}
	}
}

func TestDivedBy(t *testing.T) {
	trip := ready()
	if _, ok := trip.DivedBy(1, tomasz); ok {
		t.Error("nothing entered: got a dive")
	}
	trip.SetDived(1, roster.Dived{Person: tomasz, Depth: gas.M(20), Minutes: 15, By: ines}, at(100))
	trip.SetDived(1, roster.Dived{Depth: gas.M(28), Minutes: 22, By: ines}, at(101))
	if d, ok := trip.DivedBy(1, tomasz); !ok || d.Depth != gas.M(28) || d.Minutes != 22 {
		t.Errorf("for all and deeper: it counts for who was named before too; got %+v", d)
	}
	if d, ok := trip.DivedBy(1, marit); !ok || d.Depth != gas.M(28) || !d.At.Equal(at(101)) {
		t.Errorf("for all: got %+v", d)
	}
}

func TestSetDives(t *testing.T) {
	trip := ready()
	if trip.SetDives(trip.Dives[:1], "", "", at(1)) {
		t.Error("dropped a dive that cylinders are for")
	}
	if trip.SetDives(nil, "", "", at(1)) || len(trip.Dives) != 2 {
		t.Error("dropped all dives")
	}
	three := append(append([]roster.Dive{}, trip.Dives...),
		roster.Dive{Site: "Anvil Ledge", Depth: gas.M(12), Minutes: 30})
	if !trip.SetDives(three, "", "", at(1)) || len(trip.Dives) != 3 || trip.DefaultDive(at(2)) != 1 {
		t.Errorf("one more dive: got %d dives", len(trip.Dives))
	}
	if !trip.SetDives(three[:2], "", "", at(2)) || len(trip.Dives) != 2 {
		t.Errorf("dropped again: got %d dives", len(trip.Dives))
	}
}

// Who sits out by another leader's word is not brought back by their own, whoever
// said it first, and whichever dives they name.
func TestALeaderTakesBackOnlyTheirOwnSitOut(t *testing.T) {
	trip := ready()
	trip.HandOver(marit, ines, at(9))
	trip.SetRole(ines, true, false, "", at(9))
	trip.SitOut(marit, 1, marit, "gear", at(10))
	if !trip.BackIn(marit, 1, marit, "mended", at(11)) {
		t.Error("her own is hers to take back")
	}
	trip.SitOut(marit, 1, marit, "gear", at(12))
	trip.SitOut(marit, 1, ines, "gas", at(13))
	trip.SitOut(marit, 2, marit, "gear", at(14))
	if !trip.BackIn(marit, 0, marit, "mended", at(15)) || trip.Person(marit).OutOf(2) != nil {
		t.Error("her own of dive 2 stands")
	}
	if out := trip.Person(marit).OutOf(1); out == nil || out.By != ines || !out.At.Equal(at(12)) {
		t.Errorf("of dive 1: got %+v, want what the other leader said", out)
	}
	if trip.BackIn(marit, 1, marit, "warm", at(16)) || trip.BackIn(marit, 0, marit, "warm", at(16)) {
		t.Error("brought back by herself")
	}
	if !trip.BackIn(marit, 1, ines, "warm", at(17)) || trip.Person(marit).OutOf(1) != nil {
		t.Error("not brought back by the other leader")
	}
}
