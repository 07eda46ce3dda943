package conversation

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// shopFloor is a trip of a leader and two divers, of whom Tomasz has analysed.
type shopFloor struct {
	t     *testing.T
	trip  *roster.Trip
	now   time.Time
	wake  time.Time
	heard map[roster.PersonID][][]string // the lines of each letter
}

func newShopFloor(t *testing.T) *shopFloor {
	f := &shopFloor{t: t, now: time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)}
	blank := roster.NewTrip("abcdefghij", "")
	*blank.Plan = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Units: gas.Metres,
		Departs:        f.now.Add(4 * time.Hour),
		CylindersReady: f.now.Add(3 * time.Hour), Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(31), Minutes: 18}}}
	d := roster.Change(blank)
	for _, p := range []*roster.Person{{Name: "Inês", Leader: true},
		{Name: "Tomasz", Cylinders: []*roster.Cylinder{{Label: "17", Asked: 32, Dive: 1}}},
		{Name: "Marit", Cylinders: []*roster.Cylinder{{Label: "18", Asked: 32, Dive: 1}}}} {
		p.Card, p.Joined, p.Addresses = gas.CardSeen, f.now, []roster.Address{{Channel: "web", ID: p.Name}}
		d.AddPerson(p, "", f.now)
	}
	f.trip = d.Done()
	f.does(Event{Kind: Timer})
	f.does(Event{Kind: Text, Person: "p2", Text: "17: 31.8"})
	return f
}

// does steps, and keeps the trip as the store would.
func (f *shopFloor) does(e Event) {
	f.t.Helper()
	e.At = f.now
	r := stepped(f.t, Input{Trip: f.trip, Event: e, Now: f.now})
	f.trip, f.wake = stored(f.t, r.Trip), r.Wake
	for _, l := range r.Letters {
		var keys []string
		for _, line := range l.Message.Lines {
			keys = append(keys, line.Key)
		}
		if f.heard != nil {
			f.heard[l.Person] = append(f.heard[l.Person], keys)
		}
	}
}

// shop changes something and some time passes, with the wake-ups in it.
func (f *shopFloor) shop(c Change, pass time.Duration) {
	f.t.Helper()
	if f.heard == nil {
		f.heard = map[roster.PersonID][][]string{}
	}
	f.does(Event{Kind: Changed, Change: &c})
	until := f.now.Add(pass)
	for !f.wake.IsZero() && !f.wake.After(until) {
		f.now = f.wake.UTC()
		f.does(Event{Kind: Timer})
	}
	f.now = until
}

func (f *shopFloor) letters() (n int) {
	for _, all := range f.heard {
		n += len(all)
	}
	return n
}

func deeper(f *shopFloor, m float64) Change {
	d := f.trip.Dives[0]
	d.Depth, d.Bottom = gas.M(m), gas.M(m+1)
	return Change{Dives: []roster.Dive{d}}
}

// Several changes by the shop are one message to each, a minute after the last.
func TestChangesOfTheShopWithinAMinuteAreOneMessage(t *testing.T) {
	f := newShopFloor(t)
	f.shop(deeper(f, 31), 25*time.Second)
	f.shop(Change{Name: new("Saturday, late")}, 25*time.Second)
	f.shop(Change{Departs: new(f.trip.Departs.Add(10 * time.Minute))}, 59*time.Second)
	if n := f.letters(); n > 0 {
		t.Fatalf("a second before the minute is over: %d letters, want none", n)
	}
	f.shop(Change{}, time.Second)
	for _, p := range f.trip.People {
		if len(f.heard[p.ID]) != 1 || len(f.heard[p.ID][0]) < 5 {
			t.Errorf("%s got %v, want one letter with name, departure and plan", p.Name, f.heard[p.ID])
		}
	}
}

// Who goes on changing is waited for no longer than two minutes.
func TestChangesOfTheShopWaitTwoMinutesAtMost(t *testing.T) {
	f := newShopFloor(t)
	for range 4 {
		f.shop(Change{Departs: new(f.trip.Departs.Add(time.Minute))}, 35*time.Second)
	}
	if n := f.letters(); n != 3 {
		t.Errorf("after 2:20 of changing: %d letters, want one to each of three", n)
	}
}

func TestThereAndBackIsNoNews(t *testing.T) {
	f := newShopFloor(t)
	f.shop(Change{Name: new("Sunday")}, 20*time.Second)
	f.shop(Change{Name: new("Saturday two-tank")}, 3*time.Minute)
	if n := f.letters(); n > 0 {
		t.Errorf("got %v, want nothing: the name is what it was", f.heard)
	}
}

// A no-go waits for nothing, and what was changed before goes with it.
func TestANoGoOfTheShopDoesNotWait(t *testing.T) {
	f := newShopFloor(t)
	f.shop(Change{Name: new("Saturday, deep")}, 20*time.Second)
	f.shop(deeper(f, 39), 0)
	letters := f.heard["p2"]
	if len(letters) != 1 || letters[0][0] != "cleared.of" && letters[0][0] != "verdict.of" {
		t.Errorf("Tomasz got %v at once, want one letter that begins with the no-go", letters)
	}
	if got := f.trip.Untold; got != nil {
		t.Errorf("still waits: %+v", got)
	}
	before := f.letters()
	f.shop(Change{}, 3*time.Minute)
	if n := f.letters(); n != before {
		t.Errorf("said again later: %v", f.heard)
	}
}

func TestABrokenSignatureDoesNotWait(t *testing.T) {
	f := newShopFloor(t)
	d := roster.Change(f.trip)
	d.SitOut("p4", 0, "p1", "other", f.now)
	d.OpenBoat(1, "p1", f.now)
	if _, ok := d.SignOff(1, "p1", f.now); !ok {
		t.Fatal("not signed")
	}
	f.trip = d.Done()
	f.shop(Change{Departs: new(f.trip.Departs.Add(3 * time.Hour))}, 0)
	if len(f.heard["p1"]) != 2 || len(f.heard["p2"]) != 1 {
		t.Errorf("got %v, want both told at once: the diver in one letter, the leader of change and signature", f.heard)
	}
}

// A leader who looks or acts meanwhile sees it as it is, and everybody is told.
func TestALeaderIsNotKeptWaiting(t *testing.T) {
	f := newShopFloor(t)
	f.shop(deeper(f, 31), 10*time.Second)
	f.does(Event{Kind: Text, Person: "p1", Text: "/board"})
	if len(f.heard["p1"]) != 2 || len(f.heard["p2"]) != 1 {
		t.Errorf("got %v, want the board and the change for the leader, the change for Tomasz", f.heard)
	}
}

// How a diver stands is told together with what made it so.
func TestAChangedVerdictWaitsForItsReason(t *testing.T) {
	f := newShopFloor(t)
	f.shop(deeper(f, 33), 30*time.Second)
	if len(f.heard["p2"]) > 0 {
		t.Fatalf("Tomasz got %v at once", f.heard["p2"])
	}
	f.shop(Change{}, time.Minute)
	if len(f.heard["p2"]) != 1 {
		t.Errorf("Tomasz got %v, want one letter", f.heard["p2"])
	}
}
