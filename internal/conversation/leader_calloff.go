package conversation

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/conversation/when"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A trip that is called off, moved, or one dive shorter. Everybody hears it once;
// what was analysed stays.

const (
	stateCallOff  State = "leader.calloff"
	statePostpone State = "leader.postpone"
	stateDrop     State = "leader.drop"
)

// callOff is "/calloff REASON": it asks for the reason and once more.
func callOff(t *turn, args string) {
	a := message.Args{"trip": message.Name(t.trip.Name), "day": message.Day(t.trip.Departs, t.trip.Zone)}
	if args == "" {
		t.ask(stateCallOff, nil, message.Message{Lines: []message.Line{message.Say("calloff.why", a)}})
		return
	}
	a["reason"] = message.Text(args)
	t.ask(stateCallOff, args, message.Message{Lines: []message.Line{message.Loud("calloff.sure", a)},
		Buttons: yesNo("lcalloff", message.Say("calloff.button.yes", nil), message.Say("site.button.no", nil))})
}

func callOffTyped(t *turn, text string) {
	switch t.answer(text) {
	case reply.Cancel, reply.No:
		callOffPressed(t, []string{"no"})
	case reply.Yes:
		callOffPressed(t, []string{"yes"})
	default:
		callOff(t, orders.Clip(text, orders.LongestReason))
	}
}

func callOffPressed(t *turn, args []string) {
	var reason string
	t.data(&reason)
	open := t.session.State == stateCallOff
	t.done()
	switch {
	case open && argument(args, 0) == "no":
		t.say(message.Say("leader.cancelled", nil))
	case !open || reason == "" || argument(args, 0) != "yes":
		t.questionOver()
	default:
		t.callOff(t.actor, reason)
	}
}

// callOff calls the trip off and tells everybody once.
func (t *turn) callOff(by roster.PersonID, reason string) {
	if !t.trip.CallOff(by, reason, t.now) {
		return
	}
	a := message.Args{"trip": message.Name(t.trip.Name), "day": message.Day(t.trip.Departs, t.trip.Zone),
		"reason": message.Text(reason), "who": t.nameOf(by)}
	t.tellAll(message.Message{Lines: []message.Line{message.Loud("calloff.told", a), message.Say("calloff.told.why", a)}})
	t.happen("trip.called_off", map[string]any{"reason": reason})
	if by != "" {
		t.send(message.Message{Lines: []message.Line{message.Loud("calloff.done", a)},
			Buttons: [][]message.Button{oneButton("lputon", message.Say("calloff.button.back", nil))}})
	}
}

// putOnPressed takes it back.
func putOnPressed(t *turn, _ []string) {
	t.done()
	if !t.putOn(t.actor) {
		t.questionOver()
	}
}

// putOn takes calling off back and tells everybody.
func (t *turn) putOn(by roster.PersonID) bool {
	if !t.trip.PutOn(by, t.now) {
		return false
	}
	a := message.Args{"trip": message.Name(t.trip.Name), "departs": message.Moment(t.trip.Departs, t.trip.Zone)}
	m := message.Message{Lines: []message.Line{message.Loud("calloff.on", a)}}
	if by != "" {
		t.send(m)
	}
	t.tellAll(m)
	t.happen("trip.put_on", map[string]any{"departs_at": t.trip.Departs})
	return true
}

// overLines say that the trip takes nothing more, and why.
func (t *turn) overLines() []message.Line {
	if c := t.trip.CalledOff; c != nil {
		return []message.Line{message.Loud("calloff.is",
			message.Args{"trip": message.Name(t.trip.Name), "reason": message.Text(c.Reason)})}
	}
	return []message.Line{message.Loud("diver.over", nil),
		message.Say("diver.over.do", message.Args{"leader": t.leaderNames()})}
}

// postpone is "/postpone [DAY] TIME".
func postpone(t *turn, args string) {
	if args == "" {
		t.ask(statePostpone, nil, message.Message{
			Lines: []message.Line{message.Say("postpone.ask",
				message.Args{"departs": message.Moment(t.trip.Departs, t.trip.Zone)})},
			Buttons: [][]message.Button{{postponeButton(30), postponeButton(60), postponeButton(120)}}})
		return
	}
	zone, err := roster.Zone(t.trip.Zone)
	if err != nil {
		zone = time.UTC
	}
	if typed, ok := orders.Span(args); ok {
		t.moveTo(t.trip.Departs.Add(typed))
		return
	}
	said, rest := when.Read(strings.Fields(args), message.Match(t.me().Language), t.now.In(zone))
	if span := t.maybeSpan(said, rest, args, zone); len(span) > 0 {
		t.ask(statePostpone, nil, message.Message{Lines: []message.Line{message.Say("postpone.which",
			message.Args{"typed": message.Name(args)})}, Buttons: span})
		return
	}
	if said.Day.IsZero() {
		y, m, d := t.trip.Departs.In(zone).Date()
		said.Day = time.Date(y, m, d, 0, 0, 0, 0, zone)
	}
	if said.Clock < 0 || len(rest) > 0 {
		t.ask(statePostpone, nil, message.Message{Lines: []message.Line{message.Say("newtrip.unclear",
			message.Args{"typed": message.Name(args)}),
			message.Say("newtrip.ask.clock", nil)}})
		return
	}
	t.moveTo(said.At())
}

// maybeSpan are buttons for what may be a time of day or how much later: a bare
// number, or a time that is past today and would be a span of some hours.
func (t *turn) maybeSpan(said when.Said, rest []string, typed string, zone *time.Location) (rows [][]message.Button) {
	minutes, err := strconv.Atoi(reply.PlainDigits(strings.TrimSpace(typed)))
	clock := time.Duration(-1)
	switch y, m, d := t.trip.Departs.In(zone).Date(); {
	case err == nil && minutes > 0 && minutes <= orders.MostLater:
		if minutes < 24 {
			clock = time.Duration(minutes) * time.Hour
		}
	case said.Day.IsZero() && len(rest) == 0 && said.Clock > 0 && said.Clock <= orders.MostLater*time.Minute &&
		time.Date(y, m, d, 0, 0, 0, 0, zone).Add(said.Clock).Before(t.now):
		minutes, clock = int(said.Clock/time.Minute), said.Clock
	default:
		return nil
	}
	rows = append(rows, []message.Button{postponeButton(minutes)})
	if clock < 0 {
		return rows
	}
	at := when.Said{Day: t.trip.Departs.In(zone), Clock: clock}.At()
	if at.Before(t.now) {
		at = when.Said{Day: t.trip.Departs.In(zone).AddDate(0, 0, 1), Clock: clock}.At()
	}
	return append(rows, oneButton("lpostpone at "+strconv.FormatInt(at.Unix(), 10),
		message.Say("postpone.button.at", message.Args{"departs": message.Moment(at, t.trip.Zone)})))
}

func postponeButton(minutes int) message.Button {
	return message.Button{Label: message.Say("postpone.button",
		message.Args{"minutes": message.Minutes(float64(minutes))}),
		Do: "lpostpone " + strconv.Itoa(minutes)}
}

func postponeTyped(t *turn, text string) {
	if !t.cancelled(text) {
		postpone(t, text)
	}
}

// postponePressed moves the departure by the minutes of a button.
func postponePressed(t *turn, args []string) {
	if at, err := strconv.ParseInt(argument(args, 1), 10, 64); argument(args, 0) == "at" && err == nil &&
		t.session.State == statePostpone {
		t.moveTo(time.Unix(at, 0).UTC())
		return
	}
	minutes, err := strconv.Atoi(argument(args, 0))
	if t.session.State != statePostpone || err != nil || minutes < 1 || minutes > orders.MostLater {
		t.questionOver()
		return
	}
	t.moveTo(t.trip.Departs.Add(time.Duration(minutes) * time.Minute))
}

// moveTo moves the departure and tells everybody.
func (t *turn) moveTo(at time.Time) {
	was := t.trip.Departs
	if at.Before(t.now) || at.After(t.now.AddDate(2, 0, 0)) {
		t.ask(statePostpone, nil, message.Message{Lines: []message.Line{message.Say("newtrip.past",
			message.Args{"departs": message.Moment(at, t.trip.Zone)})}})
		return
	}
	t.done()
	t.trip.SetDeparture(at, t.actor, t.now)
	a := message.Args{"departs": message.Moment(t.trip.Departs, t.trip.Zone), "was": message.Moment(was, t.trip.Zone)}
	m := message.Message{Lines: []message.Line{message.Loud("shop.departs", a), message.Say("shop.departed", a)}}
	t.send(m)
	if !t.trip.Departs.Equal(was) {
		t.tellAll(m)
	}
}

// dropDive is "/drop": the last dive does not take place.
func dropDive(t *turn, _ string) {
	n := len(t.trip.Dives)
	a := message.Args{"dive": message.Count(n), "site": message.Name(t.site(n))}
	if n < 2 || t.trip.Signature(n) != nil || t.trip.Dives[n-1].Outcome != nil {
		t.say(message.Say("drop.not", a))
		return
	}
	t.ask(stateDrop, n, message.Message{Lines: []message.Line{message.Loud("drop.sure", a)},
		Buttons: yesNo("ldrop", message.Say("drop.button.yes", a), message.Say("site.button.no", nil))})
}

func dropTyped(t *turn, text string) {
	switch t.answer(text) {
	case reply.Yes:
		dropPressed(t, []string{"yes"})
	case reply.No, reply.Cancel:
		dropPressed(t, []string{"no"})
	default:
		t.freely(text)
	}
}

func dropPressed(t *turn, args []string) {
	var n int
	t.data(&n)
	open := t.session.State == stateDrop && n == len(t.trip.Dives)
	t.done()
	if !open {
		t.questionOver()
		return
	}
	if argument(args, 0) != "yes" {
		t.say(message.Say("leader.cancelled", nil))
		return
	}
	a := message.Args{"dive": message.Count(n), "site": message.Name(t.site(n))}
	if !t.trip.DropDive(t.actor, "", t.now) {
		t.say(message.Say("drop.not", a))
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("drop.told", a)}}
	t.send(m)
	t.tellAll(m)
}
