package conversation

import (
	"slices"
	"strconv"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Words that are not readings. What was not understood can be passed on to the
// leaders with a button; words of alarm are passed on at once. Helium or a
// closed circuit is outside this check, and the leader's to decide.

// stateUnsaid holds words that were not understood; text is heard as if nothing
// was asked.
const stateUnsaid State = "diver.unsaid"

// unsaidData are the words, also part of what another state holds.
type unsaidData struct {
	Unsaid string `json:"unsaid,omitempty"`
}

// longestWords is how much of what somebody wants passed on is kept, in characters.
const longestWords = 200

// unsaid answers what was not understood, with a button that passes it on.
func (t *turn) unsaid(m message.Message) {
	text := orders.Clip(t.event.Text, longestWords)
	if text == "" {
		t.done()
		t.send(m)
		return
	}
	m.Buttons = append(m.Buttons, t.helpButton())
	t.ask(stateUnsaid, unsaidData{text}, m)
}

// helpButton passes the words on; who leads alone has nobody to pass them on to,
// and is shown the board.
func (t *turn) helpButton() []message.Button {
	if me := t.me(); me.Leader && len(t.trip.Leaders()) == 1 {
		return oneButton("board", message.Say("news.button.board", nil))
	}
	return tellButton()
}

// unsaidBeside is unsaid that leaves what was asked open.
func (t *turn) unsaidBeside(lines ...message.Line) {
	text := orders.Clip(t.event.Text, longestWords)
	m := message.Message{Lines: lines}
	if text != "" {
		t.holdWords(text)
		m.Buttons = append(m.Buttons, tellButton())
	}
	t.send(m)
}

// holdWords keeps words beside what the session waits for.
func (t *turn) holdWords(text string) {
	data := map[string]any{}
	t.data(&data)
	data["unsaid"] = text
	state := t.session.State
	if state == Idle {
		state = stateUnsaid
	}
	t.wait(state, data)
}

// tellButton passes on the words that the session holds.
func tellButton() []message.Button { return oneButton("tell", message.Say("diver.tell", nil)) }

func unsaidTyped(t *turn, text string) { t.freely(text) }

func tellPressed(t *turn, _ []string) {
	var d unsaidData
	t.data(&d)
	if d.Unsaid == "" {
		t.questionGone()
		return
	}
	if t.session.State == stateUnsaid {
		t.done()
	} // any other question stays open
	told := t.passOn("pass-on", d.Unsaid)
	t.say(t.toldLine("diver.told", told))
}

// alarmed tells whether somebody typed words of alarm, or named what is outside
// this check, and answers them: whatever was asked, they come first.
func (t *turn) alarmed(text string) bool { return t.outOfCheck(t.parse(text, 0)) }

// alarmedBeside is alarmed for what leaders and crew are asked: a name, a reason.
// The question stays open, and another gas may be the answer.
func (t *turn) alarmedBeside(text string) bool {
	r := t.parse(text, 0)
	if r.Intent != reply.Alarmed {
		return false
	}
	asked := t.session
	t.alarm(r.Alarm)
	t.session = asked
	return true
}

// outOfCheck answers words of alarm and of another gas; it is false for others.
func (t *turn) outOfCheck(r reply.Result) bool {
	switch {
	case r.Intent == reply.Alarmed:
		t.alarm(r.Alarm)
		if r.Cry {
			t.manualBeside()
		}
	case r.Outside:
		t.helium()
	default:
		return false
	}
	return true
}

// alarm passes words of alarm on at once and says so.
func (t *turn) alarm(what reply.Alarm) {
	t.done()
	if what == "" {
		what = reply.Distress
	}
	words := orders.Clip(t.event.Text, longestWords)
	t.raise(roster.SpeakKind(what), words)
}

// manualBeside offers what else a cry for help may have meant, on the answer to it.
func (t *turn) manualBeside() {
	for i := len(t.letters) - 1; i >= 0; i-- {
		if l := &t.letters[i]; !l.Group && l.Person == t.actor {
			l.Message.Buttons = append(l.Message.Buttons, oneButton("help", message.Say("diver.alarm.manual", nil)))
			return
		}
	}
}

func helpPressed(t *turn, _ []string) { showHelp(t, "") }

// raise passes words of alarm on at once and says so: not cleared until another leader
// settles them. Who leads alone could be held by nobody's word but their own.
func (t *turn) raise(kind roster.SpeakKind, words string) {
	var settles []string
	if !t.leadsAlone(t.me()) {
		settles = t.mustSpeak(kind, words)
	}
	t.holdConcerned(kind, words)
	told := t.passOn("pass-on."+string(kind), words, settles...)
	line := t.toldLine("diver.alarm", told)
	line.Style = message.Strong
	t.say(line, message.Say("diver.alarm."+string(kind), message.Args{"leader": t.leaderNames()}))
}

// mustSpeak keeps the acting person not cleared until a leader settles what they
// said; it returns the id of that.
func (t *turn) mustSpeak(kind roster.SpeakKind, words string) []string {
	id := t.trip.MustSpeak(t.me().ID, roster.Speak{At: t.now, Was: words, Kind: kind})
	t.showed(t.me().ID)
	if id == "" {
		return nil
	}
	return []string{id}
}

// toldLine says who was told, or that nobody was.
func (t *turn) toldLine(key string, told []*roster.Person) message.Line {
	if len(told) == 0 {
		return message.Loud("diver.told.nobody", nil)
	}
	return message.Say(key, message.Args{"leader": t.names(told)})
}

// passOn tells every other leader somebody's words, with name, cylinder and
// clearance, and the crew where no leader can be reached; it returns those who can
// be. The buttons settle those words alone.
func (t *turn) passOn(key, words string, settles ...string) (told []*roster.Person) {
	p := t.me()
	cl := t.clearance(p.ID, t.dive())
	a := message.Args{"name": message.Name(p.Name), "text": message.Text(words)}
	lines := []message.Line{message.Loud(key, a), message.Say("pass-on.text", a)}
	if cl.Active {
		a["verdict"] = message.Of(message.Cleared(t.trip.Trip, cl))
		var names []message.Value
		for _, c := range filter(t.current(p), func(c *roster.Cylinder) bool { return c.Dive == cl.Dive }) {
			names = append(names, message.Of(cylinderName(c)))
		}
		if len(names) > 0 {
			a["cylinder"] = message.List(names...)
			lines = append(lines, message.Say("pass-on.cylinder", a))
		} else {
			lines = append(lines, message.Say("pass-on.clearance", a))
		}
	}
	t.trip.Note(roster.Act{At: t.now, By: p.ID, Verb: "passed-on", On: string(p.ID)})
	m := message.Message{Lines: lines}
	if len(settles) > 0 {
		other := t.outButton(p)
		if key == "pass-on.helium" {
			other = message.Button{Label: message.Say("news.button.outside", nil), Do: "loutside " + string(p.ID)}
		}
		m.Buttons = row(slipButton(p.ID, settles), other)
		t.saidAll[speakKey(p)] = true
	}
	t.alertLeaders(m)
	hear := func(q *roster.Person) bool { return q.ID != p.ID && canBeTold(q) }
	if told = those(t.trip.Leaders(), hear); len(told) == 0 {
		told = those(t.trip.People, func(q *roster.Person) bool { return q.Crew && !q.Leader && hear(q) })
		for _, q := range told {
			t.tell(q.ID, roster.LevelVerdict, true, message.Message{Lines: lines,
				Buttons: [][]message.Button{oneButton("board", message.Say("news.button.board", nil))}})
		}
	}
	return told
}

// outButton lets a leader have somebody sit the next dive out.
func (t *turn) outButton(p *roster.Person) message.Button {
	return message.Button{Label: message.Say("news.button.out", nil),
		Do: "lout " + string(p.ID) + " " + strconv.Itoa(t.dive())}
}

// those are the people of whom something is so.
func those(people []*roster.Person, so func(p *roster.Person) bool) []*roster.Person {
	return slices.DeleteFunc(slices.Clone(people), func(p *roster.Person) bool { return !so(p) })
}

// helium is another gas than this check covers, or another machine.
func (t *turn) helium() {
	t.done()
	words := orders.Clip(t.event.Text, longestWords)
	told := t.passOn("pass-on.helium", words, t.mustSpeak(roster.SpeakHelium, words)...)
	first, decides := message.SpeakTo(t.trip.Trip, t.me().ID), t.leaderNames()
	if first.Key == "verdict.need.speak.shop" {
		decides = message.Of(message.Say("leader.the-shop", nil))
	} else if leader, ok := first.Values.Of("leader"); ok && t.me().Leader {
		decides = leader
	}
	t.say(first, t.toldLine("diver.alarm", told), message.Say("diver.helium.do", message.Args{"leader": decides}))
}

// besideReading is the carbon monoxide of a message with readings: what names no
// cylinder is of the only one that was read, "18 31.8 CO 9".
func besideReading(r reply.Result) []reply.Monoxide {
	all := slices.Clone(r.Monoxide)
	for i := range all {
		if all[i].Label == "" && len(r.Readings) == 1 {
			all[i].Label = r.Readings[0].Label
		}
	}
	return all
}

// monoxide records carbon monoxide that a diver measured in cylinders of their own. What
// may be in somebody's and can't be placed is an alarm: a leader hears it.
func (t *turn) monoxide(ms []reply.Monoxide) {
	for _, m := range ms {
		c := t.labelledMine(m.Label)
		if m.Label == "" {
			c = t.mine(t.meantAlone())
		}
		if c == nil || !(m.PPM >= 0 && m.PPM <= orders.MostPPM) {
			if m.Notable() {
				t.raise(roster.SpeakBadGas, orders.Clip(t.event.Text, longestWords))
			}
			t.say(message.Loud("diver.co.which", nil))
			continue
		}
		t.trip.SetCO(c.ID, m.PPM, t.sent(), t.me().ID, t.now)
		t.showed(t.me().ID, c.Dive)
		cl := t.clearanceOf(c)
		lines := []message.Line{t.verdictLine(t.me(), t.cylinder(c.ID), cl)}
		if f, ok := coFinding(cl, c.ID); ok && f.Severity.Worse(gas.Pass) {
			text, do := message.Finding(f)
			do.Style = message.Strong
			lines = append(lines, text, do)
		}
		t.say(append(lines, message.Say("diver.co.noted",
			message.Args{"ppm": plainNumber(m.PPM), "cylinder": t.called(c)}))...)
	}
}

// coFinding is what was found of carbon monoxide in a cylinder.
func coFinding(cl *roster.Clearance, c roster.CylinderID) (gas.Finding, bool) {
	for _, f := range cl.Verdict.Findings {
		if f.Rule == gas.RuleCarbonMonoxide && f.Cylinder == string(c) {
			return f, f.Severity != gas.NotApplicable
		}
	}
	return gas.Finding{}, false
}
