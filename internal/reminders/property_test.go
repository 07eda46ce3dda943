package reminders

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// day is a trip under random events: time passes, processes come and go, the
// departure moves, people answer, leave and come.
type day struct {
	trip *roster.Draft
	now  time.Time
	sent map[string]time.Time // by key
	last map[roster.PersonID]time.Time
}

// TestAnyDay: whatever happens in whatever order, nothing is said twice,
// nobody is written to who should not be, quiet hours hold, and the stored
// wake-up is never later than the next thing to say.
func TestAnyDay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := &day{trip: saturday(), now: departure.Add(-30 * time.Hour), sent: map[string]time.Time{},
			last: map[roster.PersonID]time.Time{}}
		if rapid.Bool().Draw(rt, "group") {
			d.trip.EditCourse().GroupChat = roster.Address{Channel: "telegram", ID: "-1"}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"wait":    d.wait,
			"sleep":   d.sleep,
			"wake":    d.wake,
			"move":    d.move,
			"person":  d.person,
			"leader":  d.leader,
			"restart": d.restart,
			"":        d.check,
		})
	})
}

func (d *day) wait(t *rapid.T) {
	d.now = d.now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "minutes")) * time.Minute)
	d.tick(t)
}

// sleep is a process that was down for hours.
func (d *day) sleep(t *rapid.T) {
	d.now = d.now.Add(time.Duration(rapid.IntRange(0, 12*60).Draw(t, "minutes down")) * time.Minute)
}

// wake is the runner: it looks exactly when the trip asked for it.
func (d *day) wake(t *rapid.T) {
	next := Next(d.trip.Trip, d.now)
	if next.IsZero() {
		return
	}
	if next.After(d.now) {
		d.nothingBefore(t, next)
		d.now = next
	}
	d.tick(t)
}

// nothingBefore: at any instant before the wake-up there is nothing to send.
func (d *day) nothingBefore(t *rapid.T, next time.Time) {
	seconds := int(next.Sub(d.now).Seconds())
	if seconds < 1 {
		return
	}
	early := d.now.Add(time.Duration(rapid.IntRange(0, seconds-1).Draw(t, "early")) * time.Second)
	for _, x := range Decide(d.trip.Trip, early) {
		if x.Action == Send {
			t.Fatalf("at %v, before the wake-up at %v: %s %s to %s (%s)", early, next, x.Action, x.Kind, x.Person, x.Reason)
		}
	}
}

func (d *day) tick(t *rapid.T) {
	decisions := Decide(d.trip.Trip, d.now)
	second := Decide(d.trip.Trip, d.now) // another process, before either has committed
	for i, x := range decisions {
		if x.Key != second[i].Key || x.Action != second[i].Action {
			t.Fatalf("two processes decide differently: %v and %v", x, second[i])
		}
		Remember(d.trip, x, d.now)
		if x.Action == Send {
			d.sends(t, x)
		}
	}
	for _, x := range Decide(d.trip.Trip, d.now) {
		if x.Action != Hold {
			t.Fatalf("decided again in the same instant: %v", x)
		}
	}
	if next := Next(d.trip.Trip, d.now); !next.IsZero() && !next.After(d.now) {
		t.Fatalf("the wake-up after a look is %v, not after %v: the runner would never rest", next, d.now)
	}
}

func (d *day) sends(t *rapid.T, x Decision) {
	if before, twice := d.sent[x.Key]; twice {
		t.Fatalf("%s sent at %v and again at %v", x.Key, before, d.now)
	}
	d.sent[x.Key] = d.now
	if x.Kind == Turn {
		return
	}
	loud := !d.now.Before(d.trip.Departs.Add(-45 * time.Minute))
	if _, quiet := quietUntil(d.trip.Quiet, location(d.trip.Zone), d.now); quiet && !loud &&
		(x.Kind == Evening || x.Kind == Ready) && !x.announced {
		t.Fatalf("%s sent in quiet hours, at %v", x.Key, d.now)
	}
	if x.Person == Group {
		return
	}
	p := d.trip.Person(x.Person)
	if !p.Left.IsZero() || p.Erased || p.Joined.IsZero() || sitsOut(d.trip.Trip, p) && !p.Leader {
		t.Fatalf("%s sent to somebody who left, sits out or never joined: %+v", x.Key, p)
	}
	if j := newJudge(d.trip.Trip, d.now); !p.Leader && x.Kind != Evening && !j.owes(x.Due) {
		t.Fatalf("%s sent to somebody who owes nothing", x.Key)
	}
	if (x.Kind == Ready || x.Kind == Nudge || x.Kind == Last) && d.now.Before(d.trip.ReadyAt()) {
		t.Fatalf("%s sent at %v, before the cylinders are ready at %v", x.Key, d.now, d.trip.ReadyAt())
	}
	if x.nudges() {
		if last, ok := d.last[p.ID]; ok && d.now.Sub(last) < NudgesApart {
			t.Fatalf("%s nudged at %v and %v", p.ID, last, d.now)
		}
		d.last[p.ID] = d.now
	}
}

func (d *day) move(t *rapid.T) {
	minutes := rapid.SampledFrom([]int{-24 * 60, -180, -60, -15, -5, 5, 10, 15, 60, 300, 24 * 60}).Draw(t,
		"moved by minutes")
	d.trip.SetDeparture(d.trip.Departs.Add(time.Duration(minutes)*time.Minute), "", d.now)
}

func (d *day) person(t *rapid.T) {
	p := rapid.SampledFrom(d.trip.People[1:]).Draw(t, "person")
	switch rapid.SampledFrom([]string{"read", "read", "undo", "leave", "join", "lost", "found", "queue", "attend"}).Draw(
		t, "act") {
	case "read":
		for _, c := range p.InUse() {
			d.trip.Record(c.ID, roster.Reading{Percent: 31.9, At: d.now, By: p.ID, Entrant: gas.ByDiver,
				Shown: gas.ShownDecimals}, d.now)
		}
	case "undo":
		for _, c := range p.InUse() {
			if r := d.trip.ShownOf(c.ID, d.now); r != nil {
				d.trip.Undo(r.ID, p.ID, d.now)
			}
		}
	case "leave":
		d.trip.Leave(p.ID, p.ID, "", d.now)
	case "join":
		d.trip.Join(p.ID, roster.Address{Channel: "web", ID: string(p.ID)}, "en", d.now)
	case "lost":
		d.trip.Edit(p.ID).Unreachable = "blocked"
	case "found":
		d.trip.Edit(p.ID).Unreachable = ""
	case "queue":
		d.trip.QueueUp(p.ID, d.now)
		d.trip.NextTurns(d.now)
	case "attend":
		for _, c := range p.InUse() {
			d.trip.Attend(c.ID, roster.Kept, p.ID, d.now)
		}
	}
}

func (d *day) leader(t *rapid.T) {
	p := rapid.SampledFrom(d.trip.People[1:]).Draw(t, "person")
	switch rapid.SampledFrom([]string{"out", "back", "boat", "sign", "reopen", "dived", "announce", "nudge", "ready",
		"plan ready"}).Draw(t, "leader") {
	case "out":
		d.trip.SitOut(p.ID, 0, "p1", "other", d.now)
	case "back":
		d.trip.BackIn(p.ID, 0, "p1", "", d.now)
	case "boat":
		d.trip.OpenBoat(1, "p1", d.now)
	case "sign":
		d.trip.SignOff(1, "p1", d.now)
	case "reopen":
		d.trip.Withdraw(1, "p1", "refilled", d.now)
	case "dived":
		d.trip.SetDived(1, roster.Dived{Depth: gas.M(29), Minutes: 20, By: "p1", At: d.now}, d.now)
	case "announce":
		d.trip.EditCourse().Announced = d.now
	case "nudge":
		NudgedByHand(d.trip, p.ID, d.now)
		d.last[p.ID] = d.now
	case "ready":
		d.trip.CylindersAreReady(d.now)
	case "plan ready":
		d.trip.SetCylindersReady(d.trip.Departs.Add(
			-time.Duration(rapid.IntRange(0, 180).Draw(t, "ready before"))*time.Minute), d.now)
	}
}

// restart stores the trip and loads it again.
func (d *day) restart(t *rapid.T) {
	b, err := json.Marshal(d.trip.Done())
	if err != nil {
		t.Fatal(err)
	}
	loaded := roster.NewTrip("", "") // what is empty is not stored
	if err := json.Unmarshal(b, loaded); err != nil {
		t.Fatal(err)
	}
	d.trip = roster.Change(loaded)
}

// check: the plan's keys are unique.
func (d *day) check(t *rapid.T) {
	var keys []string
	for _, x := range Plan(d.trip.Trip, d.now) {
		keys = append(keys, x.Key)
	}
	slices.Sort(keys)
	if n := len(keys); len(slices.Compact(keys)) != n {
		t.Fatal("two planned messages with one key")
	}
	if got, want := Next(d.trip.Trip, d.now), plainNext(d.trip.Trip, d.now); !got.Equal(want) {
		t.Fatalf("the wake-up is %v, by the whole plan it is %v", got, want)
	}
}
