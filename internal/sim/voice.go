package sim

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// voice plays a day as people talk: what they say is typed or pressed, and goes through the dialogue. What nobody
// can type or press in chat is still told to the trip itself.
type voice struct {
	*product
	sessions map[roster.PersonID]conversation.Session
	aloud    *conversation.Event   // how the next change is said, nil when it can't be
	letters  []conversation.Letter // of the last change
	typed    []line                // what was typed, pressed and answered last
	events   int
	before   *roster.Trip                     // the trip before the last change
	actor    roster.PersonID                  // who said that aloud
	stops    map[stop]time.Time               // no-gos, and since when
	named    map[[2]roster.PersonID]time.Time // who heard whose name, and when
	everMax  map[roster.PersonID]int          // the deepest that a diver's max was, by the judge
	found    []Difference
}

// spoken tells whether the day of a seed is one on which people talk.
func spoken(seed uint64) bool { return seed%4 == 3 }

// line is what was typed or pressed, or what was answered.
type line struct {
	text   string
	answer message.Message
}

var plain = message.New()

// lately is what was typed, pressed and answered last, in words.
func (v *voice) lately() []string {
	var lines []string
	for _, l := range v.typed {
		if l.text == "" {
			text := plain.Text(l.answer, message.Reader{Units: v.units.String()}, message.Plain)
			l.text = "  -> " + strings.ReplaceAll(text, "\n", " / ")
		}
		lines = append(lines, l.text)
	}
	return lines
}

// listen makes people talk from now on: whoever is on the trip joins it.
func (p *product) listen(now time.Time) {
	p.voice = &voice{product: p, sessions: map[roster.PersonID]conversation.Session{},
		named: map[[2]roster.PersonID]time.Time{}, everMax: map[roster.PersonID]int{}}
	p.voice.join(now)
	p.voice.namesHeard(now)
}

// join lets everybody open their invite who has not; one in twelve never does.
func (v *voice) join(now time.Time) {
	for i, who := range v.trip.People {
		if who.Joined.IsZero() && who.Left.IsZero() && i%12 != 7 {
			v.step(now, conversation.Event{Kind: conversation.Join, Person: who.ID, Language: languages[i%len(languages)]})
		}
	}
}

// languages are those that people of a day speak.
var languages = []string{"en", "de", "es", "ja", "fr"}

// step plays one event of the dialogue and stores what comes of it.
func (v *voice) step(now time.Time, e conversation.Event) {
	v.events++
	e.Source, e.Address = fmt.Sprint("e", v.events), roster.Address{Channel: "sim", ID: string(e.Person)}
	if e.At.IsZero() {
		e.At = now
	}
	if e.Text+e.Do != "" {
		v.typed = append(v.typed, line{text: fmt.Sprintf("%s %s %q%q", v.people.day[e.Person], e.Kind, e.Text, e.Do)})
	}
	in := conversation.Input{Trip: v.trip, Session: v.sessions[e.Person], Event: e, Now: now, Trips: 1}
	r := conversation.Step(in)
	if v.events%refusedEvery == 0 {
		v.again(in, r)
	}
	v.trip = r.Trip
	v.trip.Version++
	if e.Person != "" {
		v.sessions[e.Person] = r.Session
	}
	v.letters = append(v.letters, r.Letters...)
	for _, l := range r.Letters {
		if l.Person == e.Person && e.Text+e.Do != "" {
			v.typed = append(v.typed, line{answer: l.Message})
		}
	}
}

// refusedEvery is how many events the store takes before it refuses one: it failed, or another process was first.
const refusedEvery = 13

// again plays an event once more of which nothing was stored: the same comes of it, and nothing of the first time
// is left.
func (v *voice) again(in conversation.Input, first conversation.Result) {
	second := conversation.Step(in)
	letters, acts := len(first.Letters) == len(second.Letters), len(first.Acts) == len(second.Acts)
	if a, b := stored(first.Trip), stored(second.Trip); a != b || !letters || !acts {
		v.wrong("an event played again after the store refused it", in.Event.Person, b, a)
	}
}

// tell says one change aloud, as far as it can be said. What the shop or nobody in chat did is told to the trip,
// and the dialogue hears that it changed.
func (v *voice) tell(said []judge.Said) {
	now := said[0].At
	v.letters, v.typed = nil, v.typed[max(0, len(v.typed)-mostTyped):]
	v.before, v.actor = v.trip, v.by(said[0].By)
	if v.aloud != nil {
		v.say(said[0], *v.aloud)
	} else {
		v.product.change(said)
	}
	if n := v.newcomers[said[0].NewPerson.ID]; said[0].Kind == judge.SaidWaits && n.id != "" {
		v.step(now, conversation.Event{Kind: conversation.Knock, Newcomer: n.id})
	}
	v.join(now)
	v.step(now, conversation.Event{Kind: conversation.Timer})
}

// mostTyped is how many lines of what was typed and answered are kept, to be told with a disagreement.
const mostTyped = 12

// waits lets time go by.
func (v *voice) waits(now time.Time) {
	v.letters, v.aloud, v.before = nil, nil, v.trip
	v.step(now, conversation.Event{Kind: conversation.Timer})
}

// say plays an event and answers what is asked back, until it is recorded.
func (v *voice) say(s judge.Said, e conversation.Event) {
	before := v.trip
	e.Person = v.by(s.By)
	for range 4 {
		v.step(s.At, e)
		if v.keepNew(before, s) {
			return
		}
		do, text := v.back(s, e.Person)
		if do == "" && text == "" {
			return
		}
		kind := conversation.Text
		if do != "" {
			kind = conversation.Button
		}
		e = conversation.Event{Kind: kind, Person: e.Person, At: e.At, Ref: e.Ref, Do: do, Text: text}
	}
}

// keepNew keeps the ids of what came of it; false when nothing did that has one.
func (v *voice) keepNew(before *roster.Trip, s judge.Said) bool {
	if n := len(v.trip.SignOffs); n > len(before.SignOffs) {
		v.signatures[v.trip.SignOffs[n-1].ID] = s.Signature
		return true
	}
	for _, p := range v.trip.People {
		if before.Person(p.ID) == nil && s.Kind == judge.SaidLetIn {
			v.cameIn(p, v.newcomers[s.Person])
			return true
		}
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				if _, known := before.Reading(r.ID); known == nil {
					v.readings.keep(s.Reading, r.ID)
					return true
				}
			}
		}
	}
	return false
}

// back is what somebody presses or types when they are asked back: that it is as they said.
func (v *voice) back(s judge.Said, who roster.PersonID) (do, text string) {
	cylinder := ""
	if c := v.inUse(v.trip, s.Cylinder); c != nil {
		cylinder = string(c.ID)
	}
	if s.Kind == judge.SaidCard && v.about(s).Card != gas.CardSeen {
		return v.offered(who, "lcard "+string(v.about(s).ID)), ""
	}
	switch v.sessions[who].State {
	case "diver.which":
		return v.offered(who, "which "+cylinder), ""
	case "diver.again":
		if s.Kind == judge.SaidCorrection {
			return v.offered(who, "again correct"), ""
		}
		return v.offered(who, "again again"), ""
	case "diver.meaning":
		if s.Kind == judge.SaidAirPoint {
			return "mean air", ""
		}
		return "mean reading", ""
	case "diver.confirm":
		if s.Kind == judge.SaidReading && s.Analyser != "" { // all of it once more: it keeps nothing of what was said
			return "", v.reading(v.trip.Person(who), s)
		}
		return "", v.percent(who, s.Value)
	case "diver.retype":
		if s.Kind == judge.SaidReading {
			return "", v.percent(who, s.Value)
		}
	case "diver.swap-label":
		return "", s.Label
	case "leader.for":
		return v.offered(who, "lcal no"), ""
	case "leader.sign":
		return v.offered(who, "lsigned"), ""
	case "leader.calloff":
		return v.offered(who, "lcalloff yes"), ""
	case "leader.drop":
		return v.offered(who, "ldrop yes"), ""
	}
	return "", ""
}

// offered is the newest button of a person that begins so, "" for none.
func (v *voice) offered(who roster.PersonID, begins string) string {
	for _, l := range slices.Backward(v.letters) {
		if l.Person != who {
			continue
		}
		for _, row := range l.Message.Buttons {
			for _, b := range row {
				if strings.HasPrefix(b.Do, begins) {
					return b.Do
				}
			}
		}
	}
	return ""
}

// asSaid is what is said with what goes without saying in a dialogue: the analyser that somebody named before, and
// that a number for a cylinder answers what was asked about that number.
func (p *product) asSaid(said []judge.Said) []judge.Said {
	if p.voice == nil {
		return said
	}
	s := said[0]
	p.voice.aloud = nil
	if e, ok := p.voice.utter(s); ok && len(said) == 1 {
		p.voice.aloud = &e
	}
	if p.voice.aloud == nil || s.Kind != judge.SaidReading && s.Kind != judge.SaidCorrection {
		return said
	}
	by := p.trip.Person(p.by(s.By))
	c, _ := p.trip.Reading(p.readings.product[s.Of])
	if s.Kind == judge.SaidReading {
		c = p.inUse(p.trip, s.Cylinder)
	}
	owner, _ := p.trip.Cylinder(c.ID)
	if s.Kind == judge.SaidReading && owner == by && s.Analyser == "" {
		s.Analyser = by.Analyser
	}
	list := []judge.Said{s}
	for name, id := range p.questions {
		for _, q := range c.Questions {
			if q.ID == id && q.AnsweredBy(gas.Percent(s.Value), p.trip.PlacesAsked(id)) {
				list = append(list, judge.Said{At: s.At, By: s.By, Kind: judge.SaidAnswer, Question: name})
			}
		}
	}
	return list
}

// firstNames are what people of a day are called, in the order of their numbers.
var firstNames = []string{"Aoife", "Bruna", "Cemal", "Dorota", "Emeka", "Fumiko", "Goran", "Halima", "Ilse", "Jorma",
	"Kaveh", "Lucija", "Matteo", "Nandini", "Oksana", "Pavel", "Quynh", "Rasmus",
	"Sibusiso", "Teresa", "Uxia", "Vasko", "Wanda", "Yusuf", "Zofia"}

func nameOf(id roster.PersonID) string {
	n := 0
	_, _ = fmt.Sscanf(string(id), "p%d", &n)
	if n < 1 || n > len(firstNames) {
		return "Somebody " + string(id)
	}
	return firstNames[n-1]
}
