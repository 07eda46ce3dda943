package conversation

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// When a dive ended, by the clock: the surface interval runs from there, and the next
// dive starts when it is over. It is said with /dived ("/dived 1 28m 35 9:20") or
// asked for, when another dive is to come.

// stateUp waits for when the last diver was up.
const stateUp State = "leader.up"

type upData struct {
	Dive int `json:"dive"`
}

// afterDived answers that a dive was dived, and goes on with the dive that is to be
// signed. When none is, and another is to come, it says from when that is, or asks
// when this one ended.
func (t *turn) afterDived(dive, then int, lines ...message.Line) {
	next := t.trip.Dive(dive + 1)
	switch {
	case then > 0 || next == nil || next.Outcome != nil:
		t.say(lines...)
		t.goOnSigning(then)
	case !t.trip.UpAt(dive).IsZero():
		t.say(append(lines, t.restLine(dive+1))...)
	default:
		t.askUp(upData{dive}, lines...)
	}
}

func (t *turn) askUp(d upData, lines ...message.Line) {
	a := message.Args{"dive": message.Count(d.Dive), "example": message.Code("9:20")}
	lines = append(lines, message.Say("rest.ask", a))
	do := "lup " + strconv.Itoa(d.Dive) + " "
	t.ask(stateUp, d, message.Message{Lines: lines, Buttons: [][]message.Button{{
		{Label: message.Say("rest.button.now", nil), Do: do + "now"},
		{Label: message.Say("rest.button.unknown", nil), Do: do + "unknown"},
	}}})
}

// restLine says how long the surface interval before a dive is, and when it is over.
func (t *turn) restLine(dive int) message.Line {
	return message.Say("rest.until", message.Args{"dive": message.Count(dive),
		"minutes": message.Minutes(t.trip.Dives[dive-1].Interval), "at": t.clock(t.trip.Starts(dive))})
}

// notThen refuses a time at which a dive can't have ended.
func (t *turn) notThen(dive int, up time.Time) message.Line {
	return message.Say("rest.not-then", message.Args{"dive": message.Count(dive), "at": t.clock(up)})
}

// takeUp takes a time of day off the front of words; the zero time where there is none.
func (t *turn) takeUp(words []string) (time.Time, []string) {
	zone, err := roster.Zone(t.trip.Zone)
	if err != nil {
		return time.Time{}, words
	}
	return orders.TakeClock(words, t.me().Language, t.now.In(zone))
}

// readingLike are times of day that may as well be a reading: "20.50".
func readingLike(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && v >= lowestAsked
}

// lowestAsked is from where a number may be a reading, in percent; below it is asked
// back in any case.
const lowestAsked = 15

func upTyped(t *turn, text string) {
	var d upData
	t.data(&d)
	switch t.answer(text) {
	case reply.Cancel, reply.No:
		t.restAsPlanned(d)
		return
	}
	up, rest := t.takeUp(strings.Fields(t.english(text)))
	if up.IsZero() || len(rest) > 0 || readingLike(strings.TrimSpace(text)) {
		t.freely(text)
		return
	}
	t.takeUpOf(d, up)
}

func upPressed(t *turn, args []string) {
	var d upData
	t.data(&d)
	switch {
	case t.session.State != stateUp || argument(args, 0) != strconv.Itoa(d.Dive):
		t.questionOver()
	case argument(args, 1) == "now":
		t.takeUpOf(d, t.now)
	default:
		t.restAsPlanned(d)
	}
}

// restAsPlanned is the answer to who doesn't know when a dive ended.
func (t *turn) restAsPlanned(d upData) {
	next := t.trip.Dive(d.Dive + 1)
	if next == nil {
		t.questionOver()
		return
	}
	t.done()
	t.say(message.Say("rest.planned", message.Args{"minutes": message.Minutes(next.Interval)}))
}

// takeUpOf records when a dive ended; what can't be is asked again.
func (t *turn) takeUpOf(d upData, up time.Time) {
	if t.trip.Dive(d.Dive+1) == nil || !t.trip.WasDived(d.Dive) {
		t.questionOver()
		return
	}
	if !t.trip.SetUp(d.Dive, up, t.me().ID, t.now) {
		t.askUp(d, t.notThen(d.Dive, up))
		return
	}
	t.done()
	t.say(message.Say("rest.up", message.Args{"dive": message.Count(d.Dive), "at": t.clock(up)}), t.restLine(d.Dive+1))
}
