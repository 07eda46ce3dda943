package conversation

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A witnessed reading: the leader stands by while somebody analyses, and
// types it for them. It is how a diver without a phone reports, and how two
// readings that disagree are settled.
//
//	/for NAME CYLINDER READING [dock|boat] [ANALYSER]
//
// Missing parts are asked one at a time; nothing is recorded before all are
// there.

// stateFor waits for a part of a witnessed reading.
const stateFor State = "leader.for"

// forData is what is known of a witnessed reading so far.
type forData struct {
	Person   roster.PersonID   `json:"person"`
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	Label    string            `json:"label,omitempty"` // a new label for the cylinder
	Percent  gas.Percent       `json:"percent,omitempty"`
	Stage    string            `json:"stage,omitempty"` // "dock", "boat" or "" for where the trip is
	Analyser string            `json:"analyser,omitempty"`
	AirPoint gas.Percent       `json:"air_point,omitempty"` // said with it
	NoAir    bool              `json:"no_air,omitempty"`    // asked for, and not known
	Taken    time.Time         `json:"taken,omitzero"`      // when it was read, from paper
	Witness  roster.PersonID   `json:"witness,omitempty"`   // who watched it, where that is not who records it
}

// forPerson starts a witnessed reading of p with what was typed after the name.
func forPerson(t *turn, p *roster.Person, rest string) {
	if len(p.InUse()) == 0 {
		t.say(message.Say("for.no-cylinders", message.Args{"name": t.nameOf(p.ID)}))
		return
	}
	d := forData{Person: p.ID}
	if problem := t.readWitnessed(&d, rest); problem.Key != "" {
		t.ask(stateFor, d, message.Message{Lines: []message.Line{problem, t.forUsage()}})
		return
	}
	t.witness(d)
}

// readWitnessed takes the parts out of what was typed. A whole number that is a label
// on the trip is no reading before it is typed with its decimal: a witnessed reading
// outvotes all others.
func (t *turn) readWitnessed(d *forData, text string) message.Line {
	problem := t.readFor(d, text)
	number, words := digits(float64(d.Percent)), strings.Fields(text)
	withDecimal := slices.ContainsFunc(words, func(w string) bool { // also of a cylinder that has this very label
		p, err := reply.Percent(w)
		return err == nil && p == d.Percent && w != number
	})
	if problem.Key != "" || !d.Percent.Known() || withDecimal || !slices.Contains(words, number) || !t.isLabel(number) {
		return problem
	}
	a := message.Args{"label": message.Name(number), "percent": message.Percent(d.Percent)}
	d.Percent = 0
	return message.Say("for.label", a)
}

// isLabel tells whether a cylinder on the trip has that label, in use or not.
func (t *turn) isLabel(label string) bool {
	return slices.ContainsFunc(t.trip.People, func(p *roster.Person) bool {
		return slices.ContainsFunc(p.Cylinders, func(c *roster.Cylinder) bool { return sameLabel(c.Label, label) })
	})
}

func (t *turn) forUsage() message.Line {
	return message.Say("for.usage", message.Args{"example": message.Code("/for Marit 18 32.4 boat A")})
}

// witness asks for the next missing part, or records.
func (t *turn) witness(d forData) {
	p := t.trip.Person(d.Person)
	if p == nil {
		t.questionOver()
		return
	}
	if d.Cylinder == "" && len(p.InUse()) == 1 {
		d.Cylinder = p.InUse()[0].ID
	}
	_, c := t.trip.Cylinder(d.Cylinder)
	switch {
	case c == nil:
		m := t.whichCylinder(p)
		m.Buttons = append(m.Buttons, t.keptButton(p)...)
		t.ask(stateFor, d, m)
	case d.Taken.After(t.now):
		t.done()
		t.say(message.Say("sheet.later", message.Args{"at": t.clock(d.Taken)}))
	case d.Stage == "dock" && t.trip.BoatOpened(c.Dive):
		t.done()
		t.say(message.Say("for.dock-late", message.Args{"cylinder": message.Of(cylinderName(c))}))
	case !d.Percent.Known():
		t.ask(stateFor, d, message.Message{Buttons: t.keptButton(p),
			Lines: []message.Line{message.Say("for.ask-percent", message.Args{
				"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c))})}})
	case !d.AirPoint.Known() && !d.NoAir && t.trip.Evidence(c.ID, t.now).Unsettled:
		t.ask(stateFor, d, message.Message{
			Lines:   []message.Line{message.Say("for.ask-air", message.Args{"cylinder": message.Of(cylinderName(c))})},
			Buttons: [][]message.Button{oneButton("lcal no", message.Say("for.button.no-air", nil))}})
	default:
		t.recordWitnessed(p, c, d)
	}
}

// keptButton answers the boat question of a person in place of a reading, where it is
// what they owe.
func (t *turn) keptButton(p *roster.Person) [][]message.Button {
	if len(t.boatOpenOf(p)) == 0 {
		return nil
	}
	return [][]message.Button{oneButton("lkept "+string(p.ID),
		message.Say("need.button.kept", message.Args{"name": t.nameOf(p.ID)}))}
}

func (t *turn) whichCylinder(p *roster.Person) message.Message {
	m := message.Message{Lines: []message.Line{message.Say("for.ask-cylinder", message.Args{"name": t.nameOf(p.ID)})}}
	for _, c := range p.InUse() {
		m.Buttons = append(m.Buttons, oneButton("lcyl "+string(c.ID), cylinderName(c)))
	}
	return m
}

func forTyped(t *turn, text string) {
	var d forData
	t.data(&d)
	p := t.trip.Person(d.Person)
	if p == nil {
		t.questionOver()
		return
	}
	intent := t.answer(text)
	switch {
	case intent == reply.Cancel:
		t.done()
		t.say(message.Say("leader.cancelled", nil))
		return
	case intent == reply.Kept && !d.Percent.Known():
		t.done()
		keptFor(t, p, "")
		return
	case d.Percent.Known() && d.Cylinder != "" && (intent == reply.No || intent == reply.DontKnow):
		d.NoAir = true
	case d.Percent.Known() && d.Cylinder != "":
		if air, err := reply.Percent(strings.TrimPrefix(strings.ToLower(strings.TrimSpace(text)), "air ")); err == nil &&
			air >= orders.AirLow && air <= orders.AirHigh {
			d.AirPoint = air
		}
	default:
		if problem := t.readWitnessed(&d, text); problem.Key != "" {
			t.ask(stateFor, d, message.Message{Lines: []message.Line{problem}})
			return
		}
	}
	t.witness(d)
}

// forCylinder is the button that answers "which cylinder?".
func forCylinder(t *turn, args []string) {
	var d forData
	t.data(&d)
	if t.session.State != stateFor || len(args) == 0 {
		t.questionOver()
		return
	}
	owner, c := t.trip.Cylinder(roster.CylinderID(args[0]))
	if c == nil || owner.ID != d.Person {
		t.questionOver()
		return
	}
	d.Cylinder = c.ID
	if c.Label != "" {
		d.Label = ""
	}
	t.witness(d)
}

// forCalibrated is the button that says that the air point is not known.
func forCalibrated(t *turn, args []string) {
	var d forData
	t.data(&d)
	if t.session.State != stateFor || len(args) == 0 || !d.Percent.Known() {
		t.questionOver()
		return
	}
	d.NoAir = true
	t.witness(d)
}

// recordWitnessed stores a complete witnessed reading, reads it back to the
// leader and tells the diver.
func (t *turn) recordWitnessed(p *roster.Person, c *roster.Cylinder, d forData) {
	t.done()
	if d.Label != "" {
		t.trip.SetLabel(c.ID, t.labelIn(d.Label), t.me().ID, t.now)
	}
	t.answeredBy(t.cylinder(c.ID), d.Percent, false)
	if d.AirPoint.Known() && d.Analyser != "" {
		t.trip.SetAirPoint(d.Analyser, d.AirPoint, t.weather(), t.me().ID, t.sent())
	}
	r := t.trip.Record(c.ID, roster.Reading{Percent: d.Percent, At: t.sent(), Ref: t.event.Ref, By: t.me().ID,
		Taken: d.Taken, Witness: d.Witness,
		Analyser: d.Analyser, AirPoint: d.AirPoint}, t.now)
	if r == nil {
		t.say(message.Say("for.not", message.Args{"name": t.nameOf(p.ID)}))
		return
	}
	p, c = t.trip.Cylinder(c.ID)
	t.newReading(p, c, r)
	cl := t.clearanceOf(c)
	lines := t.witnessedLines(p, c, cl)
	lines = append(lines, t.readBack(c, r))
	if n := numbersFor(cl, c.ID); n != nil && cl.Goes() {
		lines = append(lines, t.labelLine(p, c, n, r))
	}
	t.send(message.Message{Lines: lines, Buttons: [][]message.Button{
		oneButton("lundo "+string(r.ID), message.Say("for.button.undo", nil))}})
	if p.ID != t.me().ID && canBeTold(p) {
		m := message.Message{Lines: []message.Line{t.watchedLine(c, r)}}
		if !t.isLate(r) { // in one message with who watched it
			t.showed(p.ID, c.Dive)
			m = message.Message{Lines: append(t.standLines(p, c), m.Lines...),
				Buttons: t.boatButtons(p, boatOwed(p.InUse(), cl))}
		}
		t.tell(p.ID, roster.LevelWord, true, m)
	}
	t.queueMoves()
}

// watchedLine tells a diver who watched their reading and who recorded it.
func (t *turn) watchedLine(c *roster.Cylinder, r *roster.Reading) message.Line {
	a := message.Args{"leader": t.nameOf(t.me().ID), "cylinder": message.Of(cylinderName(c)),
		"percent": message.Percent(r.Percent)}
	if r.Witness == t.me().ID {
		return message.Say("for.told", a)
	}
	a["who"] = t.nameOf(r.Witness)
	return message.Say("for.told.by", a)
}

// witnessedLines are how a person stands with one cylinder, and what a leader can
// do about it.
func (t *turn) witnessedLines(p *roster.Person, c *roster.Cylinder, cl *roster.Clearance) []message.Line {
	t.shown[standing{p.ID, c.Dive}] = true
	lines := []message.Line{message.ClearedOf(t.trip.Trip, cl, message.Say("leader.choice.with", message.Args{
		"name": t.nameOf(p.ID), "cylinder": message.Of(t.cylinderOn(c))}))}
	f, ok := decisive(cl)
	if !ok {
		return lines
	}
	text, do := message.FindingForLeader(f)
	if lines = append(lines, text); do.Key != "" && !cl.Goes() {
		lines = append(lines, do)
	}
	return lines
}

func (t *turn) readBack(c *roster.Cylinder, r *roster.Reading) message.Line {
	a := message.Args{"cylinder": message.Of(cylinderName(c)), "percent": message.Percent(r.Percent),
		"stage": message.Of(message.Say("stage."+r.Stage.String(), nil))}
	switch {
	case r.Entrant != gas.Witnessed:
		return t.recordedLine(c, r)
	case r.Witness != t.me().ID:
		a["who"] = t.nameOf(r.Witness)
		return message.Say("for.recorded.by", a)
	case r.Analyser == "":
		return message.Say("for.recorded", a)
	}
	a["analyser"] = message.Name(r.Analyser)
	if !orders.KnownAnalyser(t.trip.Trip, r.Analyser) {
		return message.Say("for.recorded.new-analyser", a)
	}
	return message.Say("for.recorded.analyser", a)
}

// undoWitnessed takes a witnessed reading back; the old value stays in the
// record.
func undoWitnessed(t *turn, args []string) {
	if len(args) == 0 {
		t.questionOver()
		return
	}
	_, r := t.trip.Reading(roster.ReadingID(args[0]))
	if r == nil || r.By != t.me().ID && !t.me().Leader || !t.trip.Undo(r.ID, t.me().ID, t.now) {
		t.say(message.Say("for.nothing-to-undo", nil))
		return
	}
	c, r := t.trip.Reading(r.ID)
	p, _ := t.trip.Cylinder(c.ID)
	t.say(message.Say("for.undone", message.Args{"name": t.nameOf(p.ID), "percent": message.Percent(r.Percent),
		"cylinder": message.Of(cylinderName(c)), "command": message.Code("/for")}))
	if p.ID != t.me().ID && canBeTold(p) {
		t.tell(p.ID, roster.LevelWord, true, message.Message{Lines: []message.Line{message.Say("for.undone.told",
			message.Args{
				"leader": t.nameOf(t.me().ID), "percent": message.Percent(r.Percent), "cylinder": message.Of(cylinderName(c))})}})
	}
}
