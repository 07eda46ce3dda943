package conversation

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Whatever people do, in whatever order: a dive is signed only when everybody
// active may go, no reading is ever lost, the group hears no verdict, and
// whoever acts is answered.
func TestAnyDayKeepsItsPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := &anyDay{trip: leaderTrip(), now: leaderNow, sessions: map[roster.PersonID]Session{}}
		day.trip = edited(day.trip, func(d *roster.Draft) {
			d.EditCourse().GroupChat = roster.Address{Channel: "test",
				ID: "group"}
		})
		if rapid.Bool().Draw(t, "ready") {
			day.getReady(t)
		}
		for range rapid.IntRange(1, 40).Draw(t, "events") {
			day.now = day.now.Add(time.Duration(rapid.IntRange(1, 300).Draw(t, "seconds")) * time.Second)
			day.event(t)
		}
	})
}

// getReady lets a leader bring everybody to a go, so that days with sign-offs
// are played too.
func (d *anyDay) getReady(t *rapid.T) {
	for _, text := range []string{"/for Tomasz 17 32.2", "/for Ana Maria 18 31.8", "/for Ana Paula 19 32.1",
		"/cardseen Ana Paula",
		"/out Kenji no gas", "/boat", "/signoff"} {
		d.now = d.now.Add(time.Minute)
		d.play(t, Event{Kind: Text, Source: "e", At: d.now, Person: inês, Text: text})
	}
	if !rapid.Bool().Draw(t, "sign") {
		return
	}
	for _, do := range d.offered[max(0, len(d.offered)-4):] {
		if strings.HasPrefix(do, "lsigned") {
			d.play(t, Event{Kind: Button, Source: "e", At: d.now, Person: inês, Do: do})
		}
	}
	if d.signed != 1 {
		t.Fatalf("a ready trip was not signed off")
	}
}

type anyDay struct {
	trip     *roster.Trip
	now      time.Time
	sessions map[roster.PersonID]Session
	offered  []string // buttons that were sent to anybody
	readings int
	signed   int
}

var leaderSays = []string{"/board", "/missing", "/signoff", "/boat", "/record", "/for Tomasz 17 32.4",
	"/for ana m 18 31.9 boat", "/for Kenji K1 21.0",
	"/for Tomasz 17 36.9", "/limit Tomasz 20m shallow reef", "/limit team 1 off", "/site 1 25 m",
	"/site 1 33 m bottom 40 m", "yes", "no", "/out Kenji no card",
	"/out Ana Paula cold", "/back Kenji card found", "/cardseen Ana Paula", "/cardseen Kenji", "/refilled 17",
	"/changed Tomasz", "/replanned", "/reopen looked again",
	"/dived 1 29m 20", "/kept Tomasz", "32.4", "never mind", "/queue", "/pass"}

var diverSays = []string{"32.4", "31.9 on A", "36.8", "17 32.2", "undo", "no, 31.4", "later", "pass", "not sure",
	"kept", "out of sight", "new cylinder", "it was refilled",
	"not diving today", "yes", "no", "20.9", "/gas", "/leave", "/queue", "hello", "210"}

func (d *anyDay) event(t *rapid.T) {
	e := Event{Source: "e", At: d.now}
	who := rapid.SampledFrom(d.trip.People).Draw(t, "who")
	if rapid.Bool().Draw(t, "leader") {
		who = d.trip.Person(inês)
	}
	switch kind := rapid.SampledFrom([]Kind{Text, Text, Text, Button, Button, Timer, Changed, Lost, GroupText}).Draw(t,
		"kind"); {
	case kind == Text && who.Leader:
		e.Kind, e.Person, e.Text = Text, who.ID, rapid.SampledFrom(leaderSays).Draw(t, "text")
	case kind == Text:
		e.Kind, e.Person, e.Text = Text, who.ID, rapid.SampledFrom(diverSays).Draw(t, "text")
	case kind == Button && len(d.offered) > 0:
		e.Kind, e.Person, e.Do = Button, who.ID, rapid.SampledFrom(d.offered[max(0, len(d.offered)-6):]).Draw(t, "button")
	case kind == Changed:
		e.Kind, e.Change = Changed, rapid.SampledFrom(someChanges(d)).Draw(t, "change")
	case kind == Lost:
		e.Kind, e.Person, e.Reason = Lost, who.ID, "blocked"
	case kind == GroupText:
		e.Kind, e.Person, e.Text = GroupText, who.ID,
			rapid.SampledFrom([]string{"/board", "/missing", "17 32.4", "/link"}).Draw(t, "group")
		e.Address = roster.Address{Channel: "test", ID: "group"}
	default:
		e.Kind = Timer
	}
	d.play(t, e)
}

func someChanges(d *anyDay) []*Change {
	strict, loose := gas.DefaultPolicy(gas.Metres), gas.DefaultPolicy(gas.Metres)
	strict.PPO2 = 1.2
	departs := d.trip.Departs.Add(10 * time.Minute)
	return []*Change{{Policy: &strict}, {Policy: &loose}, {Lock: true}, {Departs: &departs},
		{Filled: []roster.CylinderID{"c3"}, FilledAt: d.now},
		{Reading: &ShopReading{Cylinder: "c3", Percent: 32.1, Analyser: "S", At: d.now}}, {Remove: []roster.PersonID{"p8"}},
		{Broadcast: "Pier 4"}}
}

func (d *anyDay) play(t *rapid.T, e Event) {
	before := map[int]gas.Status{}
	for n := range d.trip.Dives {
		b := d.trip.Board(n+1, d.now)
		before[n+1] = b.Status
	}
	policy, had := d.trip.Policy, countAll(d.trip) > 0
	r := stepped(t, Input{Trip: d.trip, Session: d.sessions[e.Person], Event: e, Now: d.now, Trips: 1})
	if e.Person != "" {
		d.sessions[e.Person] = r.Session
	}
	d.trip = r.Trip
	d.answered(t, e, r)
	d.letters(t, r)
	if n := countAll(d.trip); n < d.readings {
		t.Fatalf("%v %q %q lost a reading: %d, were %d", e.Kind, e.Text, e.Do, n, d.readings)
	} else {
		d.readings = n
	}
	for _, s := range d.trip.SignOffs[d.signed:] {
		if s.Board.Status != gas.Go && s.Board.Status != gas.GoWithLimits || before[s.Dive] == gas.NoGo {
			t.Fatalf("%q %q signed dive %d while the board said %v", e.Text, e.Do, s.Dive, before[s.Dive])
		}
	}
	d.signed = len(d.trip.SignOffs)
	if e.Kind == Changed && had && len(d.trip.Policy.LooserThan(policy)) > 0 {
		t.Fatalf("the shop loosened %v without a leader", d.trip.Policy.LooserThan(policy))
	}
}

// answered holds that whoever acts hears something, each text complete.
func (d *anyDay) answered(t *rapid.T, e Event, r Result) {
	if e.Kind != Text && e.Kind != Button {
		return
	}
	for _, l := range r.Letters {
		if l.Person == e.Person {
			return
		}
	}
	t.Fatalf("%s was not answered: %v %q %q", e.Person, e.Kind, e.Text, e.Do)
}

func (d *anyDay) letters(t *rapid.T, r Result) {
	for _, l := range r.Letters {
		text := english(l.Message)
		if strings.Contains(text, "⟦") {
			t.Fatalf("a text is missing in a catalogue:\n%s", text)
		}
		if l.Group && strings.ContainsAny(text, "✅⚠⛔❓%") {
			t.Fatalf("the group heard a verdict or a reading:\n%s", text)
		}
		if p := d.trip.Person(l.Person); !l.Group && (p == nil || p.Erased) {
			t.Fatalf("a letter to %q", l.Person)
		}
		for _, row := range l.Message.Buttons {
			for _, b := range row {
				if len(b.Do) > 48 {
					t.Fatalf("button %q is too long", b.Do)
				}
				d.offered = append(d.offered, b.Do)
			}
		}
	}
}

func countAll(trip *roster.Trip) int {
	n := 0
	for _, p := range trip.People {
		n += countReadings(p)
	}
	return n
}
