package sim

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// What people type and press for what they want to say: a sentence a said thing.

// utter is how something is said in chat; false when it can't be, or when chat deliberately does it otherwise than
// the trip would.
func (v *voice) utter(s judge.Said) (conversation.Event, bool) {
	by := v.trip.Person(v.by(s.By))
	sentence := phrases[s.Kind]
	if by == nil || sentence == nil || by.Joined.IsZero() || !by.Left.IsZero() ||
		v.trip.Over(s.At) && s.Kind != judge.SaidPutOn {
		return conversation.Event{}, false
	}
	text := sentence(v, by, s)
	e := conversation.Event{Kind: conversation.Text, Text: text, At: s.At}
	switch {
	case text == "":
		return e, false
	case text[0] == '[':
		e.Kind, e.Text, e.Do = conversation.Button, "", text[1:]
	case text[0] == '~':
		e.Kind = conversation.Edited
		e.Ref, e.Text, _ = strings.Cut(text[1:], "|")
	case s.Reading != "":
		e.Ref = "of " + string(s.Reading)
	}
	if !s.Taken.IsZero() && s.Taken.Before(s.At) {
		e.At = s.Taken
	}
	return e, true
}

// phrases are the sentences: a text, "[" with what a button carries, "~REF|" with what a message is changed to, or
// nothing where it is not said.
var phrases map[judge.Kind]func(*voice, *roster.Person, judge.Said) string

func init() {
	phrases = map[judge.Kind]func(*voice, *roster.Person, judge.Said) string{
		judge.SaidReading: (*voice).reading, judge.SaidCorrection: (*voice).correction, judge.SaidUndo: (*voice).undo,
		judge.SaidShown: (*voice).shown, judge.SaidAirPoint: (*voice).inAir, judge.SaidCarbonMonoxide: (*voice).ppm,
		judge.SaidFill: (*voice).filled, judge.SaidAnother: (*voice).swapped, judge.SaidReplanned: (*voice).planned,
		judge.SaidBoatCheck: (*voice).check, judge.SaidBoatAnswer: (*voice).boat,
		judge.SaidCard: (*voice).cardSeen, judge.SaidLimit: (*voice).limit, judge.SaidOut: (*voice).sitsOut,
		judge.SaidOutside: (*voice).goesOutside, judge.SaidHelium: (*voice).trimix, judge.SaidHeliumSlip: (*voice).slip,
		judge.SaidBroughtBack: (*voice).brought, judge.SaidLast24: (*voice).last24,
		judge.SaidDived:     (*voice).saysDived,
		judge.SaidDivedBack: (*voice).notDivedAtAll, judge.SaidNotDived: (*voice).notDivedAtAll,
		judge.SaidInvite: (*voice).invite, judge.SaidLetIn: (*voice).comesIn, judge.SaidSentAway: (*voice).sendAway,
		judge.SaidCalledOff: (*voice).callOff, judge.SaidPutOn: (*voice).putOn, judge.SaidDropped: (*voice).drop,
		judge.SaidStart: (*voice).postpone, judge.SaidRole: (*voice).role, judge.SaidHandOver: (*voice).handOver,
		judge.SaidLeft:        (*voice).leave,
		judge.SaidDivedMyself: (*voice).saysDivedMyself, judge.SaidSign: (*voice).sign, judge.SaidUnsigned: (*voice).reopen,
	}
}

// percent is a number as somebody writes it in their language.
func (v *voice) percent(who roster.PersonID, value float64) string {
	text := strconv.FormatFloat(value, 'f', -1, 64)
	if !strings.Contains(text, ".") {
		text += ".0"
	}
	if p := v.trip.Person(who); p != nil && slices.Contains([]string{"de", "es", "fr"}, p.Language) {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}

// label is that of a cylinder where it can mean no other of the same diver, "" otherwise.
func (v *voice) label(owner *roster.Person, c *roster.Cylinder) string {
	for _, o := range owner.Cylinders {
		if o.ID != c.ID && o.Retired.IsZero() && strings.EqualFold(o.Label, c.Label) {
			return ""
		}
	}
	return c.Label
}

// reading is "17: 32.1 on A, air 20.9", or "/for NAME 17 32.1 on A air 20.9" of somebody else's.
func (v *voice) reading(by *roster.Person, s judge.Said) string {
	owner, c := v.trip.Cylinder(v.inUse(v.trip, s.Cylinder).ID)
	label := v.label(owner, c)
	if !c.Retired.IsZero() || s.Witness != "" || s.Weather.Known || s.HasCO || label == "" || v.trip.WasDived(c.Dive) ||
		v.signedElsewhere(owner, c, s.At) {
		return ""
	}
	number, analyser, air := v.percent(by.ID, s.Value), "", ""
	if s.Analyser != "" {
		analyser = or(onAnalyser[by.Language], " on ") + s.Analyser
	}
	if s.AirPoint > 0 {
		air = or(airWord[by.Language], ", air ") + v.percent(by.ID, s.AirPoint)
	}
	switch {
	case owner.Erased:
		return "" // there is no name to say
	case air != "" && (analyser == "" || slices.ContainsFunc(by.InUse(), ofAir)):
		return "" // "air 20.9" may then be what a cylinder holds
	case owner == by:
		return label + ": " + number + analyser + air
	case !by.Leader && !by.Crew || !s.Taken.IsZero():
		return ""
	}
	return "/for " + owner.Name + " " + label + " " + number + " " + s.Analyser + airOf(s)
}

// signedElsewhere tells whether somebody else has the cylinder on another dive that is signed: a number that chat asks
// about breaks that signature before it is answered, and the judge hears of the answer alone.
func (v *voice) signedElsewhere(owner *roster.Person, c *roster.Cylinder, now time.Time) bool {
	for _, p := range v.trip.People {
		for _, o := range p.InUse() {
			if p != owner && o.Dive != c.Dive && strings.EqualFold(o.Label, c.Label) && v.trip.Signed(o.Dive, now) {
				return true
			}
		}
	}
	return false
}

// What comes before an analyser's name, and before what it showed in air, where it is not as in English.
var (
	onAnalyser = map[string]string{"de": " mit Gerät ", "es": " en el analizador ", "fr": " sur l'analyseur "}
	airWord    = map[string]string{"de": ", Luft ", "es": ", aire "}
)

// or is the first of several words that is one.
func or(words ...string) string {
	for _, w := range words {
		if w != "" {
			return w
		}
	}
	return ""
}

func airOf(s judge.Said) string {
	if s.AirPoint == 0 {
		return ""
	}
	return " air " + strconv.FormatFloat(s.AirPoint, 'f', -1, 64)
}

// ofAir tells whether air was asked for: "air 20.9" may then be what a cylinder holds.
func ofAir(c *roster.Cylinder) bool { return c.Asked == gas.Air }

// correction is "no, 31.4" of the number that somebody said last, or a message that is changed.
func (v *voice) correction(by *roster.Person, s judge.Said) string {
	c, r := v.trip.Reading(v.readings.product[s.Of])
	owner, _ := v.trip.Cylinder(c.ID)
	mine := owner == by && r.By == by.ID && r.Undone.IsZero()
	if !mine || !c.Retired.IsZero() || v.trip.WasDived(c.Dive) {
		return ""
	}
	number, state := v.percent(by.ID, s.Value), v.sessions[by.ID].State
	if state == "diver.swap-label" || s.Value < 22.5 {
		return "" // a label is waited for; near air it is asked what the number is, and then it is a new one
	}
	if v.newest(by) != r || v.lastOf(c, by) != r || state == "diver.retype" { // which waits for another number

		if r.Ref == "" || len(v.trip.ReadingsOf(by.ID, r.Ref)) != 1 {
			return ""
		}
		return "~" + r.Ref + "|" + number
	}
	words := map[string]string{"de": "nein, ", "es": "perdón, ", "ja": "訂正、", "fr": "non, "}
	return or(words[by.Language], "no, ") + number
}

// newest is the number that somebody said last of their own.
func (v *voice) newest(by *roster.Person) *roster.Reading {
	var last *roster.Reading
	for _, c := range by.Cylinders {
		for _, r := range c.Readings {
			if r.By == by.ID && (last == nil || r.Nth > last.Nth) {
				last = r
			}
		}
	}
	return last
}

// lastOf is the number of a cylinder that somebody said last and did not take back.
func (v *voice) lastOf(c *roster.Cylinder, by *roster.Person) *roster.Reading {
	for _, r := range slices.Backward(c.Readings) {
		if r.By == by.ID && r.Undone.IsZero() {
			return r
		}
	}
	return nil
}

func (v *voice) undo(by *roster.Person, s judge.Said) string {
	c, r := v.trip.Reading(v.readings.product[s.Of])
	switch owner, _ := v.trip.Cylinder(c.ID); {
	case !c.Retired.IsZero():
		return ""
	case owner == by:
		return "[undo " + string(r.ID)
	case by.Leader, by.Crew && r.By == by.ID:
		return "[lundo " + string(r.ID)
	}
	return ""
}

func (v *voice) shown(by *roster.Person, s judge.Said) string {
	c, r := v.trip.Reading(v.readings.product[s.Of])
	owner, _ := v.trip.Cylinder(c.ID)
	if owner != by || !r.Undone.IsZero() || !c.Retired.IsZero() {
		return ""
	}
	if s.NoDecimals {
		return "[shown " + string(r.ID) + " whole"
	}
	return "[shown " + string(r.ID) + " decimals"
}

func (v *voice) inAir(by *roster.Person, s judge.Said) string {
	asked := s.Of != "" || v.sessions[by.ID].State == "diver.air"
	if asked || s.Weather.Known || len(by.InUse()) == 0 || slices.ContainsFunc(by.InUse(), ofAir) {
		return ""
	}
	switch number := v.percent(by.ID, s.AirPoint); by.Language {
	case "fr":
		return "air " + number + " sur " + s.Analyser
	case "es":
		return "aire " + number + " en " + s.Analyser
	case "de":
		return "Luft " + number + " auf " + s.Analyser
	default:
		return s.Analyser + " air " + number
	}
}

func (v *voice) ppm(by *roster.Person, s judge.Said) string {
	owner, c := v.trip.Cylinder(v.inUse(v.trip, s.Cylinder).ID)
	label := v.label(owner, c)
	if owner != by || label == "" || label >= "18" || !c.Retired.IsZero() {
		return "" // a label that may be a percentage is asked about
	}
	return fmt.Sprintf("%s CO %v", label, s.CO)
}
