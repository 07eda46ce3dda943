package conversation

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// stage is where a transcript is played: the trip as stored, everybody's
// session, and what everybody has been sent.
type stage struct {
	t        testing.TB
	at       int // line of the script
	out      strings.Builder
	trip     *roster.Trip
	zone     *time.Location
	now      time.Time
	wake     time.Time
	sessions map[roster.PersonID]Session
	sent     map[roster.PersonID][]message.Message
	typed    map[roster.PersonID][]typedLine
	others   map[roster.PersonID][]OtherTrip
	events   int
	renderer *message.Renderer
}

type typedLine struct{ ref, text string }

func newStage(t testing.TB) *stage {
	return &stage{t: t, zone: time.UTC, renderer: message.New(),
		sessions: map[roster.PersonID]Session{}, sent: map[roster.PersonID][]message.Message{},
		typed: map[roster.PersonID][]typedLine{}, others: map[roster.PersonID][]OtherTrip{}}
}

func (s *stage) fatalf(format string, args ...any) {
	s.t.Helper()
	s.t.Fatalf("line %d: %s; so far:\n%s", s.at, fmt.Sprintf(format, args...), s.out.String())
}

func (s *stage) print(format string, args ...any) { fmt.Fprintf(&s.out, format+"\n", args...) }

// written plays one line of the script.
func (s *stage) written(line string) {
	s.print("%s", line)
	word, rest, _ := strings.Cut(line, " ")
	switch {
	case strings.TrimSpace(line) == "" || word == "#":
	case word == "@":
		s.clock(strings.TrimSpace(rest))
	case word == "=":
		s.holds(rest)
	case word == "newcomer":
		s.newcomer(rest)
	case word == "shop":
		s.do(Event{Kind: Changed, Change: s.shop(rest)})
	case s.booking(word, rest):
	default:
		s.person(line)
	}
}

func (s *stage) clock(text string) {
	var to time.Time
	switch {
	case strings.HasPrefix(text, "+"):
		d, err := time.ParseDuration(text[1:])
		if err != nil {
			s.fatalf("%v", err)
		}
		to = s.now.Add(d)
	case len(text) == len("07:30"):
		to = s.when(s.now.In(s.zone).Format("2006-01-02 ") + text)
	default:
		to = s.when(text)
	}
	for i := 0; !s.wake.IsZero() && !s.wake.After(to); i++ {
		if i == 200 {
			s.fatalf("wake-ups without end at %v", s.wake)
		}
		if s.wake.After(s.now) {
			s.now = s.wake
		}
		s.do(Event{Kind: Timer})
	}
	s.now = to
}

func (s *stage) when(text string) time.Time {
	at, err := time.ParseInLocation("2006-01-02 15:04", text, s.zone)
	if err != nil {
		s.fatalf("%v", err)
	}
	return at.UTC()
}

// do steps, stores and prints what came of it.
func (s *stage) do(e Event) {
	s.events++
	e.Source, e.At = fmt.Sprintf("e%d", s.events), s.now.UTC()
	if e.Person != "" && e.Address == (roster.Address{}) {
		e.Address = roster.Address{Channel: "test", ID: string(e.Person)}
	}
	r := stepped(s.t, Input{Trip: s.trip, Session: s.sessions[e.Person], Event: e, Now: s.now.UTC(),
		Trips: 1 + len(s.others[e.Person]), Others: s.others[e.Person]})
	if e.Kind == Timer {
		s.print("  @ %s", s.now.In(s.zone).Format("2006-01-02 15:04"))
	}
	s.store(e, r)
	s.wake = r.Wake
	if e.Kind != Timer {
		s.now = s.now.Add(20 * time.Second)
	}
}

func (s *stage) store(e Event, r Result) {
	s.trip = r.Trip
	for _, l := range r.Letters {
		s.letter(l)
	}
	for _, a := range r.Acts {
		s.print("  * %s", act(a))
	}
	for _, h := range r.Happened {
		s.print("  ! %s %s", h.Type, details(h.Data))
		if raw, sorted := inOrder(s.t, h.Data); raw != sorted {
			s.fatalf("%s is stored as %s, not in the order of its names", h.Type, raw)
		}
	}
	if e.Person != "" {
		s.sessions[e.Person] = r.Session
		if r.Session.State != Idle {
			s.print("  ? %s", r.Session.State)
		}
	}
	stored(s.t, s.trip)
}

// stored is the trip as it comes back from a store. It must equal what was
// stored in everything: the door keeps the latter for the next event.
func stored(t tb, trip *roster.Trip) *roster.Trip {
	t.Helper()
	b, err := json.Marshal(trip)
	if err != nil {
		t.Fatal(err)
	}
	back := *roster.NewTrip("", "")
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	same := cmp.Comparer(func(a, b time.Time) bool { return a == b })
	if d := cmp.Diff(trip, &back, same, cmpopts.EquateEmpty(), cmpopts.IgnoreUnexported(roster.Trip{})); d != "" {
		t.Errorf("the trip changes in the store (-kept +stored):\n%s", d)
	}
	return &back
}

func (s *stage) letter(l Letter) {
	to, reader := "the group", message.Reader{Units: s.trip.Units.String(), Zone: s.trip.Zone}
	switch {
	case l.Outsider != (roster.Address{}):
		to, reader.Language = "somebody who waits", l.Language
	case !l.Group:
		p := s.trip.Person(l.Person)
		if p == nil {
			s.fatalf("a letter to %q, who is nobody", l.Person)
		}
		to = p.Name
		if p.Joined.IsZero() {
			to += " (no phone)"
		}
		reader.Language = p.Language
		if p.Units != "" {
			reader.Units = p.Units
		}
		s.sent[p.ID] = append(s.sent[p.ID], l.Message)
	}
	s.print("  -> %s", to)
	for _, line := range strings.Split(s.renderer.Text(linked(l.Message), reader, message.Plain), "\n") {
		s.print("     %s", strings.TrimRight(line, " "))
	}
	if l.Message.Photo != "" {
		s.print("     (the photo)")
	}
	for _, row := range l.Message.Buttons {
		labels := make([]string, len(row))
		for i, b := range row {
			labels[i] = "[" + s.renderer.Line(b.Label, reader) + "]"
			if len(b.Do) > 48 {
				s.fatalf("button %q is longer than 48 bytes", b.Do)
			}
		}
		s.print("     %s", strings.Join(labels, " "))
	}
}

func act(a roster.Act) string {
	parts := []string{a.Verb, a.On}
	for _, k := range slices.Sorted(maps.Keys(a.Detail)) {
		parts = append(parts, k+"="+a.Detail[k])
	}
	if a.Reason != "" {
		parts = append(parts, strconv.Quote(a.Reason))
	}
	if a.By != "" {
		parts = append(parts, "by "+string(a.By))
	}
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), " ")
}

// inOrder is an object as it is stored, and as it is stored with its names in
// order.
func inOrder(t testing.TB, data any) (raw, sorted string) {
	t.Helper()
	b, err := json.Marshal(data)
	if err != nil {
		t.Fatal(err)
	}
	var names map[string]json.RawMessage
	if err := json.Unmarshal(b, &names); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(names)
	if err != nil {
		t.Fatal(err)
	}
	return string(b), string(again)
}

// details are the names and values of a happening's data: a map, or a struct
// with the names that it is stored by.
func details(data any) string {
	var parts []string
	switch v := reflect.ValueOf(data); v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			parts = append(parts, fmt.Sprintf("%s=%v", v.Type().Field(i).Tag.Get("json"), v.Field(i)))
		}
	default:
		for _, k := range v.MapKeys() {
			parts = append(parts, fmt.Sprintf("%s=%v", k, v.MapIndex(k)))
		}
		slices.Sort(parts)
	}
	return strings.Join(parts, " ")
}

// person plays "NAME does something".
func (s *stage) person(line string) {
	p := s.begins(line)
	if p == nil {
		s.fatalf("who does what in %q?", line)
	}
	what := strings.TrimPrefix(line, p.Name)
	e := Event{Person: p.ID}
	switch {
	case strings.HasPrefix(what, ": "):
		e.Kind, e.Text = Text, s.text(what[2:])
		e.Ref = s.remember(p.ID, e.Text)
	case strings.HasPrefix(what, " sends a photo"):
		e.Kind, e.Photo = Text, "photo"
		_, e.Text, _ = strings.Cut(what, ": ")
		e.Ref = s.remember(p.ID, e.Text)
	case what == " joins":
		e.Kind = Join
	case what == " forgets":
		e.Kind = Forget
	case strings.HasPrefix(what, " edits "):
		e.Kind = Edited
		e.Ref, e.Text = s.edit(p.ID, strings.TrimPrefix(what, " edits "))
	case strings.HasPrefix(what, " presses ["):
		e.Kind, e.Do = Button, s.button(p.ID, strings.TrimSuffix(strings.TrimPrefix(what, " presses ["), "]"))
	case strings.HasPrefix(what, " presses {"):
		e.Kind, e.Do = Button, strings.TrimSuffix(strings.TrimPrefix(what, " presses {"), "}")
	case strings.HasPrefix(what, " in the group: "):
		e.Kind, e.Text = GroupText, s.text(strings.TrimPrefix(what, " in the group: "))
		e.Address = roster.Address{Channel: "test", ID: "group"}
	case strings.HasPrefix(what, " can't be reached: "):
		e.Kind, e.Reason = Lost, strings.TrimPrefix(what, " can't be reached: ")
	case what == " can be reached":
		e.Kind = Found
	default:
		s.fatalf("what does %q mean?", what)
	}
	s.do(e)
}

// begins is the person whose name a line begins with.
func (s *stage) begins(line string) *roster.Person {
	var found *roster.Person
	for _, p := range s.trip.People {
		if strings.HasPrefix(line, p.Name) && (found == nil || len(p.Name) > len(found.Name)) {
			found = p
		}
	}
	return found
}

func (s *stage) text(raw string) string {
	if strings.HasPrefix(raw, `"`) {
		text, err := strconv.Unquote(raw)
		if err != nil {
			s.fatalf("%v", err)
		}
		return text
	}
	return raw
}

func (s *stage) remember(p roster.PersonID, text string) string {
	ref := fmt.Sprintf("m%d", s.events+1)
	s.typed[p] = append(s.typed[p], typedLine{ref, text})
	return ref
}

func (s *stage) edit(p roster.PersonID, what string) (ref, text string) {
	var from, to string
	if _, err := fmt.Sscanf(what, "%q to %q", &from, &to); err != nil {
		s.fatalf("%v", err)
	}
	for i := len(s.typed[p]) - 1; i >= 0; i-- {
		if s.typed[p][i].text == from {
			s.typed[p][i].text = to
			return s.typed[p][i].ref, to
		}
	}
	s.fatalf("nobody wrote %q", from)
	return "", ""
}

func (s *stage) button(p roster.PersonID, label string) string {
	for _, m := range slices.Backward(s.sent[p]) {
		for _, row := range m.Buttons {
			for _, b := range row {
				if strings.HasPrefix(s.renderer.Line(b.Label, message.Reader{Units: s.trip.Person(p).Units}), label) {
					return b.Do
				}
			}
		}
	}
	s.fatalf("%s was never offered [%s]", p, label)
	return ""
}

func (s *stage) depth(text string) gas.Depth {
	number, unit, _ := strings.Cut(strings.TrimSpace(text), " ")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || (unit != "m" && unit != "ft") {
		s.fatalf("%q is no depth", text)
	}
	if unit == "ft" {
		return gas.Ft(v)
	}
	return gas.M(v)
}
