package conversation

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The analyser: which one a diver uses, and what it showed in fresh air. The
// first is asked once of each diver, the second once of each analyser.

// unsaid is Person.Analyser of somebody who can't say which one it was.
const unsaid = "?"

// analyserOf is the analyser that a text names, or that its writer uses.
func (t *turn) analyserOf(r reply.Result) string {
	if r.Analyser != "" {
		return r.Analyser
	}
	for _, x := range r.Readings {
		if x.Analyser != "" {
			return x.Analyser
		}
	}
	return t.analyserFor("")
}

// analyserFor is the analyser of a reading: named, or the one that the diver
// is at or uses, or the only one there is; "" when that is not known.
func (t *turn) analyserFor(named string) string {
	if named != "" {
		return t.spelled(named)
	}
	for name, turn := range t.trip.Queue.Serving {
		if turn.Person == t.me().ID {
			return name
		}
	}
	switch {
	case t.me().Analyser != "" && t.me().Analyser != unsaid:
		return t.me().Analyser
	case len(t.trip.Analysers) == 1:
		return t.trip.Analysers[0].Name
	}
	return ""
}

// spelled is an analyser's name as the trip has it.
func (t *turn) spelled(name string) string {
	if a := t.trip.Analyser(name); a != nil {
		return a.Name
	}
	return strings.TrimSpace(name)
}

// nextAnalyser asks which analyser it was, when there are several and this
// diver was never asked.
func nextAnalyser(t *turn, c chain) bool {
	open := slices.ContainsFunc(t.readings(c), func(r *roster.Reading) bool { return r.Analyser == "" })
	if !open || len(t.trip.Analysers) < 2 || t.me().Analyser != "" || slices.Contains(c.Asked, stateAnalyser) {
		return false
	}
	m := message.Message{Lines: []message.Line{message.Loud("diver.analyser.ask", nil)}}
	for i, a := range t.trip.Analysers {
		m.Buttons = append(m.Buttons, oneButton("analyser "+strconv.Itoa(i),
			message.Say("diver.analyser.named", message.Args{"analyser": message.Name(a.Name)})))
	}
	m.Buttons = append(m.Buttons, oneButton("analyser unknown", message.Say("diver.dont-know", nil)))
	t.put(stateAnalyser, c, m)
	return true
}

func analyserPressed(t *turn, args []string) {
	c := t.chain()
	if argument(args, 0) == "unknown" {
		t.analyserUnsaid(c)
		return
	}
	for i, a := range t.trip.Analysers {
		if strconv.Itoa(i) == argument(args, 0) {
			t.analyserIs(c, a.Name)
			return
		}
	}
	t.questionGone()
}

func (t *turn) analyserUnsaid(c chain) {
	t.uses(unsaid)
	t.say(message.Say("diver.analyser.unknown-noted", nil))
	t.next(c)
}

// analyserIs notes which analyser the readings of the chain were taken with,
// and that this diver uses it.
func (t *turn) analyserIs(c chain, name string) {
	name = t.spelled(name)
	t.uses(name)
	for _, r := range t.readings(c) {
		if r.Analyser == "" {
			t.trip.SetAnalyser(r.ID, name, t.me().ID, t.now)
		}
	}
	t.say(message.Say("diver.analyser.noted", message.Args{"analyser": message.Name(name)}))
	t.next(c)
}

// uses notes which analyser the acting person says they use.
func (t *turn) uses(analyser string) {
	if t.me().Analyser != analyser {
		t.trip.Edit(t.actor).Analyser = analyser
	}
}

func analyserTyped(t *turn, text string) {
	c := t.chain()
	r := t.parse(text, 0)
	switch {
	case len(r.Readings) > 0 || r.AirPoint.Known():
		t.freely(text)
	case r.Analyser != "":
		t.analyserIs(c, r.Analyser)
	case t.trip.Analyser(text) != nil:
		t.analyserIs(c, text)
	case r.Intent == reply.DontKnow || r.Intent == reply.No || r.Intent == reply.Unsure:
		t.analyserUnsaid(c)
	default:
		t.freely(text)
	}
}

// nameAnalyser is "on B" by itself: it belongs to the diver's newest reading.
func (t *turn) nameAnalyser(name string) {
	var c chain
	if _, r := t.lastReading(false); r != nil {
		t.trip.SetAnalyser(r.ID, t.spelled(name), t.me().ID, t.now)
		c.Readings = []roster.ReadingID{r.ID}
	}
	t.analyserIs(c, name)
}

// nextAir asks what the analyser showed in fresh air: of the first diver who
// uses it, once.
func nextAir(t *turn, c chain) bool {
	for _, r := range t.readings(c) {
		a := t.trip.Analyser(r.Analyser)
		if r.Analyser == "" || a == nil || a.AirAsked || len(a.AirPoints) > 0 {
			continue
		}
		t.trip.EditAnalyser(a.Name).AirAsked = true
		c.Analyser = a.Name
		lines := []message.Line{message.Loud("diver.air.ask", message.Args{"analyser": message.Name(a.Name)}),
			message.Say("diver.air.do", nil)}
		if !t.trip.Air.Known {
			lines = append(lines, message.Say("diver.air.weather", message.Args{"example": message.Code(t.airPointExample())}))
		}
		t.put(stateAir, c, message.Message{
			Lines:   lines,
			Buttons: [][]message.Button{oneButton("air unknown", message.Say("diver.dont-know", nil))}})
		return true
	}
	return false
}

func (t *turn) airPointExample() string {
	if t.fahrenheit() {
		return "20.4 86F 80%"
	}
	return "20.4 30C 80%"
}

func airPressed(t *turn, args []string) {
	if argument(args, 0) != "unknown" {
		t.questionGone()
		return
	}
	c := t.chain()
	t.say(message.Say("diver.air.unknown-noted", nil))
	t.next(c)
}

func airTyped(t *turn, text string) {
	c := t.chain()
	p, err := reply.Percent(text)
	r := t.parse(text, 0)
	both, weather, withWeather := orders.ReadAirPoint(text, t.fahrenheit())
	switch {
	case withWeather && both >= orders.AirLow && both <= orders.AirHigh:
		t.airFrom(weather)
		t.airIs(c, c.Analyser, both)
	case err == nil && p >= orders.AirLow && p <= orders.AirHigh:
		t.airIs(c, c.Analyser, p)
	case r.AirPoint.Known() && len(r.Readings) == 0 && r.Analyser != "": // maybe another one's than was asked for
		t.airIs(c, r.Analyser, r.AirPoint)
	case r.AirPoint.Known() && len(r.Readings) == 0:
		t.airIs(c, c.Analyser, r.AirPoint)
	case onlyAir(r) && len(r.Readings) == 0:
		p, _ = reply.Percent(r.Unclear[0].Text)
		t.airIs(c, cmp.Or(r.Analyser, c.Analyser), p)
	case r.Intent == reply.DontKnow || r.Intent == reply.No || r.Intent == reply.Unsure:
		airPressed(t, []string{"unknown"})
	default:
		t.freely(text)
	}
}

// onlyAir tells whether all that is doubtful of a message is that its number may be
// of air: that is no doubt where air was asked for ("B 20.9").
func onlyAir(r reply.Result) bool {
	if len(r.Unclear) != 1 || r.Unclear[0].Why != reply.AirOrReading || r.Unclear[0].Word != "" {
		return false
	}
	p, err := reply.Percent(r.Unclear[0].Text)
	return err == nil && p >= orders.AirLow && p <= orders.AirHigh
}

// airFails is below what any analyser shows in fresh air that works; see evidence.
const airFails = 20.2

// airPoint takes what an analyser showed in fresh air, said without being
// asked; it asks which analyser when that is not known.
func (t *turn) airPoint(analyser string, p gas.Percent) {
	if !t.mayRead() {
		return
	}
	if analyser = t.analyserFor(analyser); analyser == "" {
		if p < airFails { // whatever was read on it may not count: the leader hears
			t.raise(roster.SpeakBadGas, orders.Clip(t.event.Text, longestWords))
		}
		t.ask(stateAirName, meaningData{Percent: p}, message.Message{Lines: []message.Line{
			message.Loud("diver.air.which", message.Args{"percent": message.Percent(p)})}})
		return
	}
	t.airIs(chain{}, analyser, p)
}

// stateAirName waits for the name of the analyser of an air point.
const stateAirName State = "diver.air-name"

func airNameTyped(t *turn, text string) {
	var d meaningData
	t.data(&d)
	r := t.parse(text, 0)
	switch {
	case r.Analyser != "" && len(r.Readings) == 0:
		t.airIs(chain{}, r.Analyser, d.Percent)
	case len(r.Readings) == 0 && !r.AirPoint.Known() && t.isAnalyserName(text, r):
		t.airIs(chain{}, text, d.Percent)
	default:
		t.freely(text)
	}
}

// isAnalyserName tells whether a text may name an analyser: a number alone does not.
func (t *turn) isAnalyserName(text string, r reply.Result) bool {
	return usableLabel(text) && strings.ContainsFunc(text, unicode.IsLetter) && t.isName(text, r)
}

// airIs records an air point and says what it means for the diver's readings.
func (t *turn) airIs(c chain, analyser string, p gas.Percent) {
	t.done()
	if !t.airOfAsked(c, analyser, p) {
		t.setAirPoint(analyser, p)
	}
	a := message.Args{"analyser": message.Name(t.spelled(analyser)), "percent": message.Percent(p)}
	lines := []message.Line{message.Say("diver.air.noted", a)}
	if t.airOff(p) {
		t.saidNews[airNewsOf(t.spelled(analyser))] = true
		lines = append([]message.Line{message.Loud("diver.air.bad", a), message.Say("do.recalibrate", nil)}, lines...)
	}
	t.say(lines...)
	t.next(c)
}

// airOfAsked keeps the answer to the question what an analyser showed in air with the
// readings that it was asked of; it is false where there are none.
func (t *turn) airOfAsked(c chain, analyser string, p gas.Percent) bool {
	var of []roster.ReadingID
	for _, r := range t.readings(c) {
		if r.Analyser == t.spelled(analyser) {
			of = append(of, r.ID)
		}
	}
	return t.trip.AirPointOf(of, p, t.weather(), t.me().ID, t.sent())
}

func (t *turn) setAirPoint(analyser string, p gas.Percent) {
	if analyser == "" {
		return
	}
	t.trip.SetAirPoint(t.spelled(analyser), p, t.weather(), t.me().ID, t.sent())
}

// weather is the weather that is known on the trip.
func (t *turn) weather() gas.Weather { return t.trip.Air.Weather }

// What an analyser may show in air when the weather is not known, and how far it
// may be off when it is; common practice, no source.
const airLowest, airHighest, airGive gas.Percent = 20.2, 21.1, 0.2

// airOff tells whether an air point is outside of what that air may show: what
// is read with it does not count.
func (t *turn) airOff(p gas.Percent) bool {
	lowest, highest := airLowest, airHighest
	if t.trip.Air.Known {
		expected := t.weather().Oxygen(t.altitude())
		lowest, highest = expected-airGive, expected+airGive
	}
	return p < lowest-1e-9 || p > highest+1e-9
}
