package conversation

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A small trip on which leaders try things: one dive to 30 m, a bottom at 34 m.
var leaderNow = time.Date(2027, 5, 15, 7, 30, 0, 0, time.UTC)

func leaderTrip() *roster.Trip {
	blank := roster.NewTrip("abcdefghij", "s1")
	*blank.Plan = roster.Plan{Name: "Saturday two-tank",
		Zone: "Atlantic/Azores", Departs: time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC),
		Policy:    gas.DefaultPolicy(gas.Metres),
		Analysers: []roster.Analyser{{Name: "A"}},
		Dives: []roster.Dive{
			{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(34), Minutes: 22},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Bottomless: true, Minutes: 40, Interval: 60},
		}}
	trip := roster.Change(blank)
	for _, p := range []struct {
		name, label, team string
		card              gas.Card
		limit             gas.Depth
	}{
		{name: "Inês"},
		{name: "Tomasz", label: "17", team: "1", card: gas.CardSeen, limit: gas.M(35)},
		{name: "Ana Maria", label: "18", team: "1", card: gas.CardSeen},
		{name: "Ana Paula", label: "19", card: gas.CardUnseen},
		{name: "Kenji", card: gas.CardNone},
	} {
		person := &roster.Person{Name: p.name, Card: p.card, DepthLimit: p.limit, Team: p.team}
		if p.name == "Inês" {
			person.Leader = true
		} else {
			person.Cylinders = []*roster.Cylinder{{Label: p.label, Asked: 32, Dive: 1}}
		}
		trip.AddPerson(person, "", leaderNow.Add(-48*time.Hour))
		trip.Join(person.ID, roster.Address{Channel: "test", ID: string(person.ID)}, "en", leaderNow.Add(-24*time.Hour))
	}
	return trip.Done()
}

// desk is a leader at work: a trip, the session, what was last said to them.
type desk struct {
	t       *testing.T
	trip    *roster.Trip
	session Session
	now     time.Time
	last    Result
}

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, trip: leaderTrip(), now: leaderNow}
	d.does(Event{Kind: Join}) // what was so before anything happened is no news after it
	d.last, d.session, d.now = Result{}, Session{}, leaderNow
	return d
}

// the leader's id on leaderTrip.
const inês roster.PersonID = "p1"

func (d *desk) types(text string) string { return d.does(Event{Kind: Text, Text: text}) }

func (d *desk) presses(do string) string { return d.does(Event{Kind: Button, Do: do}) }

// does plays one event of the leader and returns what it said to them.
func (d *desk) does(e Event) string {
	d.t.Helper()
	e.Person, e.Source, e.At = inês, "e", d.now
	e.Address = roster.Address{Channel: "test", ID: string(inês)}
	d.last = stepped(d.t, Input{Trip: d.trip, Session: d.session, Event: e, Now: d.now, Trips: 1})
	d.session, d.trip = d.last.Session, d.last.Trip
	d.now = d.now.Add(20 * time.Second)
	var said []string
	for _, l := range d.last.Letters {
		if l.Person == inês {
			said = append(said, english(l.Message))
		}
	}
	all := strings.Join(said, "\n")
	if strings.Contains(all, "⟦") {
		d.t.Errorf("a text is missing in a catalogue:\n%s", all)
	}
	return all
}

func english(m message.Message) string {
	return renderer.Text(linked(m), message.Reader{Units: "m", Zone: "Atlantic/Azores"}, message.Plain)
}

// linked is a message with addresses that say whose they are.
func linked(m message.Message) message.Message {
	return message.Linked(m, func(kind message.Kind, p roster.PersonID, generation int) string {
		return fmt.Sprintf("https://charter.example/%s/%s/%d", kind, p, generation)
	})
}

var renderer = message.New()

// acts are the verbs that the last event noted, and clears them.
func (d *desk) acts() []string {
	var verbs []string
	for _, a := range d.last.Acts {
		verbs = append(verbs, a.Verb)
	}
	d.last.Acts = nil
	return verbs
}

// change does something to the trip that nobody says.
func (d *desk) change(do func(*roster.Draft)) { d.trip = edited(d.trip, do) }

// Every command that is given something it can't use says what it would
// accept, and stores nothing.
func TestLeaderBadInput(t *testing.T) {
	for _, tt := range []struct {
		typed string
		want  string // a part of the answer
	}{
		{"/for", "Type the name"},
		{"/for Zoltan 17 32.4", "Inês, Tomasz, Ana Maria"},
		{"/for Ana 18 32.4", "Which one?"},
		{"/for Tomasz", "what does the analyser show"},
		{"/for Tomasz 17", "what does the analyser show"},
		{"/for Tomasz 18 32.4", "only 17"},
		{"/for Tomasz 17 EAN32", "what was ordered"},
		{"/for Tomasz 17 210", "pressure"},
		{"/for Tomasz 17 0.32", "fraction"},
		{"/for Tomasz 17 322", "like 32.4"},
		{"/for Tomasz 17 -32", "like 32.4"},
		{"/for Tomasz 17 lots", "like 32.4"},
		{"/for Tomasz 17 32.4 31.8", "like 32.4"},
		{"/for Kenji 18", "the cylinder or the reading"},
		{"/for Inês 17 32", "no cylinder on this trip"},
		{"/site 1 because of swell", "no depth, name, bottom or time"},
		{"/site 1 250m", "deeper than 100 m"},
		{"/site 1 -5m", "more than 0"},
		{"/site 1 0 m", "more than 0"},
		{"/site 1 30 m 20 m", "two depths"},
		{"/site 1 28m bottom 20m", "above the planned"},
		{"/site 1 bottom deep", "bottom 40m"},
		{"/site 1 28m 900 min", "between 1 and"},
		{"/site dive 4 28m", "no dive \"4\""},
		{"/site 1 Wreck 9", "is that a depth"},
		{"/limit", "Type the name"},
		{"/limit Zoltan 20m", "Nobody on this trip"},
		{"/limit Ana 20m", "Which one?"},
		{"/limit Tomasz", "Type a depth"},
		{"/limit Tomasz shallow", "is no limit"},
		{"/limit Tomasz 500m", "deeper than 100 m"},
		{"/limit Tomasz 40m", "qualification ends at 35 m"},
		{"/limit Tomasz 20m", "For what reason"},
		{"/limit Inês 20m", "isn't down to dive"},
		{"/limit Tomasz off", "has no limit to lift"},
		{"/limit Tomasz 60m", "qualification ends at 35 m"},
		{"/limit 20m", "A limit of 20m for whom?"},
		{"/limit team", "Which team?"},
		{"/limit team 7 20m", "Which team?"},
		{"/limit team 1 40m", "qualification ends at 35 m"},
		{"/dived", "like /dived 1 28m 35"},
		{"/dived 3 28m 20", "the last is 2"},
		{"/dived one 28m 20", "the last is 2"},
		{"/dived 1 deep", "depth is missing"},
		{"/dived 1 28m", "minutes are missing"},
		{"/dived 1 280m 20", "deeper than 100 m"},
		{"/dived 1 28m 500", "between 1 and"},
		{"/dived 1 28m 20 Zoltan", "Nobody on this trip"},
		{"/dived 1 28m 20 Ana", "Type the whole name"},
		{"/refilled", "Type its label"},
		{"/refilled 99", "labelled \"99\""},
		{"/changed", "Type the name"},
		{"/changed Tomasz 99", "only 17"},
		{"/changed Inês", "no cylinder on this trip"},
		{"/cardseen", "Type the name"},
		{"/cardseen Zoltan", "Nobody on this trip"},
		{"/cardseen Tomasz", "as seen before"},
		{"/cardseen Kenji", "with your own eyes"},
		{"/out", "Type the name"},
		{"/out Zoltan cold", "Nobody on this trip"},
		{"/out Tomasz", "For what reason"},
		{"/out Inês tired", "isn't down to dive"},
		{"/back Tomasz better", "isn't sitting out"},
		{"/kept Tomasz", "owes no answer to the boat question"},
		{"/replanned", "No reading waits"},
		{"/replanned Zoltan", "No reading waits"},
		{"/signoff", "can't be signed"},
		{"/signoff 9", "the last is 2"},
		{"/board 9", "the last is 2"},
		{"/postpone 30", "that much later, or that time of day?"},
		{"/postpone soon", "did not understand"},
		{"/reopen", "nothing to take back"},
		{"/pass", "aren't in the queue"},
		{"/unlink", "No group chat"},
	} {
		t.Run(tt.typed, func(t *testing.T) {
			d := newDesk(t)
			before := written(t, d.trip)
			got := d.types(tt.typed)
			if !strings.Contains(got, tt.want) {
				t.Errorf("%s\n got: %s\nwant: … %s …", tt.typed, got, tt.want)
			}
			if verbs := d.acts(); verbs != nil {
				t.Errorf("%s stored %v", tt.typed, verbs)
			}
			if diff := cmp.Diff(before, written(t, d.trip)); diff != "" {
				t.Errorf("%s changed the trip:\n%s", tt.typed, diff)
			}
		})
	}
}

// What is right is stored at once, in whatever form it is typed.
func TestWitnessedReading(t *testing.T) {
	for _, tt := range []struct {
		name  string
		typed []string
		want  roster.Reading
		label string
	}{
		{name: "all parts", typed: []string{"/for Tomasz 17 32.4 boat A"},
			want: roster.Reading{Percent: 32.4, Analyser: "A"}, label: "17"},
		{name: "another order, comma, unit", typed: []string{"/for tomasz 17 boat 32,4 % on a"},
			want: roster.Reading{Percent: 32.4, Analyser: "A"}, label: "17"},
		{name: "beginning of the name, one cylinder", typed: []string{"/for TOM 32.4"},
			want: roster.Reading{Percent: 32.4}, label: "17"},
		{name: "asked for the number", typed: []string{"/for Tomasz", "32.4"},
			want: roster.Reading{Percent: 32.4}, label: "17"},
		{name: "asked for the name", typed: []string{"/for", "tomasz", "32.4"},
			want: roster.Reading{Percent: 32.4}, label: "17"},
		{name: "name and the rest when asked", typed: []string{"/for", "tomasz 17 32.4"},
			want: roster.Reading{Percent: 32.4}, label: "17"},
		{name: "a new label", typed: []string{"/for Kenji K9 32.4"},
			want: roster.Reading{Percent: 32.4}, label: "K9"},
		{name: "label or reading, told apart", typed: []string{"/for Kenji 32", "51 32"},
			want: roster.Reading{Percent: 32}, label: "51"},
		{name: "a number with a decimal is a reading", typed: []string{"/for Kenji 32.4"},
			want: roster.Reading{Percent: 32.4}},
		{name: "ambiguous name", typed: []string{"/for Ana 18 32.4", "ana m"},
			want: roster.Reading{Percent: 32.4}, label: "18"},
		{name: "a wrong number first", typed: []string{"/for Tomasz 17 210", "32.4"},
			want: roster.Reading{Percent: 32.4}, label: "17"},
		{name: "an analyser of one's own", typed: []string{"/for Tomasz 17 32.4 on mine"},
			want: roster.Reading{Percent: 32.4, Analyser: "mine"}, label: "17"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := newDesk(t)
			for _, text := range tt.typed {
				d.types(text)
			}
			var got []*roster.Reading
			var label string
			for _, p := range d.trip.People {
				for _, c := range p.Cylinders {
					for _, r := range c.Readings {
						got, label = append(got, r), c.Label
					}
				}
			}
			if len(got) != 1 {
				t.Fatalf("%d readings were stored, want 1", len(got))
			}
			r := got[0]
			if r.Percent != tt.want.Percent || r.Stage != tt.want.Stage || r.Analyser != tt.want.Analyser || label != tt.label {
				t.Errorf("got %v %v %q on cylinder %q, want %v %v %q on %q", r.Percent, r.Stage, r.Analyser, label,
					tt.want.Percent, tt.want.Stage, tt.want.Analyser, tt.label)
			}
			if r.Entrant != gas.Witnessed || r.By != inês {
				t.Errorf("got entrant %q by %q, want witnessed by the leader", r.Entrant, r.By)
			}
		})
	}
}

// Readings that disagree are settled by one that the leader watched on an
// analyser whose air point passes, and by nothing less.
func TestWitnessedReadingSettlesRepeat(t *testing.T) {
	for _, tt := range []struct {
		name    string
		answer  func(d *desk)
		settles bool
	}{
		{"air point that passes", func(d *desk) { d.types("20.9") }, true},
		{"air point that fails", func(d *desk) { d.types("19.0") }, false},
		{"not known", func(d *desk) { d.presses("lcal no") }, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := newDesk(t)
			c := d.trip.Person("p2").Cylinders[0]
			for i, p := range []gas.Percent{32.4, 30.2} {
				at := d.now.Add(time.Duration(i) * time.Minute)
				d.change(func(trip *roster.Draft) {
					trip.Record(c.ID, roster.Reading{Percent: p, At: at, By: "p2", Ref: string(rune('a' + i)), Analyser: "A"}, at)
				})
			}
			d.now = d.now.Add(5 * time.Minute)
			if got := d.types("/for Tomasz 17 32.2 on B"); !strings.Contains(got, "fresh air") {
				t.Fatalf("got %q, want to be asked about the air point", got)
			}
			if n := len(d.trip.Person("p2").Cylinders[0].Readings); n != 2 {
				t.Errorf("%d readings before the answer, want 2", n)
			}
			tt.answer(d)
			if got := !d.trip.Evidence(c.ID, d.now).Unsettled; got != tt.settles {
				t.Errorf("settled: %v, want %v", got, tt.settles)
			}
		})
	}
}

// Only a leader leads; a diver who tries is told so and nothing happens.
func TestDiversCannotLead(t *testing.T) {
	for name, c := range leaderCommands {
		if !c.leader {
			continue
		}
		d := newDesk(t)
		before := written(t, d.trip)
		r := stepped(t, Input{Trip: d.trip, Now: d.now,
			Event: Event{Kind: Text, Person: "p2", Text: "/" + name + " Tomasz 17 32.4"}})
		if len(r.Letters) != 1 || r.Letters[0].Person != "p2" || !strings.Contains(english(r.Letters[0].Message), "leader") {
			t.Errorf("/%s by a diver: got %d letters, want one that says it is for leaders", name, len(r.Letters))
		}
		if diff := cmp.Diff(before, written(t, r.Trip)); diff != "" {
			t.Errorf("/%s by a diver changed the trip:\n%s", name, diff)
		}
	}
}

// Whatever a client sends as a button, nothing happens that wasn't asked.
func TestLeaderButtonsOutOfPlace(t *testing.T) {
	harmless := map[string]bool{"lnudge": true, "lboat": true, "lsite": true}
	for verb := range leaderButtons {
		for _, args := range []string{"", " p99", " c99", " yes", " 1 zzz", " p2 x", " -1", " 99999999999999999999"} {
			d := newDesk(t)
			before := written(t, d.trip)
			got := d.presses(verb + args)
			if got == "" {
				t.Errorf("[%s%s] was not answered", verb, args)
			}
			if harmless[verb] || verb == "lcard" && args == " p2 x" {
				continue
			}
			if diff := cmp.Diff(before, written(t, d.trip)); diff != "" {
				t.Errorf("[%s%s] changed the trip:\n%s", verb, args, diff)
			}
		}
	}
}
