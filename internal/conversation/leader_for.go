package conversation

import (
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
	Person     roster.PersonID   `json:"person"`
	Cylinder   roster.CylinderID `json:"cylinder,omitempty"`
	Label      string            `json:"label,omitempty"` // a new label for the cylinder
	Percent    gas.Percent       `json:"percent,omitempty"`
	Stage      string            `json:"stage,omitempty"` // "dock", "boat" or "" for where the trip is
	Analyser   string            `json:"analyser,omitempty"`
	Calibrated string            `json:"calibrated,omitempty"` // "yes", "no" or "" not asked
}

// forPerson starts a witnessed reading of p with what was typed after the name.
func forPerson(t *turn, p *roster.Person, rest string) {
	if len(p.InUse()) == 0 {
		t.say(message.Say("for.no-cylinders", message.Args{"name": t.nameOf(p.ID)}))
		return
	}
	d := forData{Person: p.ID}
	if problem := t.readFor(&d, rest); problem.Key != "" {
		t.ask(stateFor, d, message.Message{Lines: []message.Line{problem, t.forUsage()}})
		return
	}
	t.witness(d)
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
		t.ask(stateFor, d, t.whichCylinder(p))
	case !d.Percent.Known():
		t.ask(stateFor, d, message.Message{Lines: []message.Line{message.Say("for.ask-percent", message.Args{
			"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c))})}})
	case d.Calibrated == "" && t.unsettled(p, c):
		t.ask(stateFor, d, message.Message{
			Lines: []message.Line{message.Say("for.ask-calibrated", message.Args{"cylinder": message.Of(cylinderName(c))})},
			Buttons: [][]message.Button{{
				{Label: message.Say("for.button.calibrated", nil), Do: "lcal yes"},
				{Label: message.Say("for.button.not-calibrated", nil), Do: "lcal no"},
			}}})
	default:
		t.recordWitnessed(p, c, d)
	}
}

func (t *turn) whichCylinder(p *roster.Person) message.Message {
	m := message.Message{Lines: []message.Line{message.Say("for.ask-cylinder", message.Args{"name": t.nameOf(p.ID)})}}
	for _, c := range p.InUse() {
		m.Buttons = append(m.Buttons, oneButton("lcyl "+string(c.ID), cylinderName(c)))
	}
	return m
}

// unsettled tells whether two readings of c disagree, so that this one is to
// settle them.
func (t *turn) unsettled(p *roster.Person, c *roster.Cylinder) bool {
	b := t.board()
	pb := b.Of(p.ID)
	if pb == nil {
		return false
	}
	for _, f := range pb.Verdict.Findings {
		if f.Rule == gas.RuleRepeat && f.Severity == gas.Missing && f.Cylinder == string(c.ID) {
			return true
		}
	}
	return false
}

func forTyped(t *turn, text string) {
	var d forData
	t.data(&d)
	p := t.trip.Person(d.Person)
	if p == nil {
		t.questionOver()
		return
	}
	intent := reply.Parse(text, reply.Context{}).Intent
	switch {
	case intent == reply.Cancel:
		t.done()
		t.say(message.Say("leader.cancelled", nil))
		return
	case d.Percent.Known() && d.Cylinder != "" && (intent == reply.Yes || intent == reply.No):
		d.Calibrated = string(intent)
	default:
		if problem := t.readFor(&d, text); problem.Key != "" {
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

// forCalibrated is the button that answers "calibrated before?".
func forCalibrated(t *turn, args []string) {
	var d forData
	t.data(&d)
	if t.session.State != stateFor || len(args) == 0 || !d.Percent.Known() {
		t.questionOver()
		return
	}
	d.Calibrated = args[0]
	t.witness(d)
}

// recordWitnessed stores a complete witnessed reading, reads it back to the
// leader and tells the diver.
func (t *turn) recordWitnessed(p *roster.Person, c *roster.Cylinder, d forData) {
	t.done()
	if d.Label != "" {
		t.trip.SetLabel(c.ID, d.Label, t.me.ID, t.now)
	}
	r := t.trip.Record(c.ID, roster.Reading{Percent: d.Percent, At: t.event.At, Ref: t.event.Ref, By: t.me.ID,
		Entrant: gas.Witnessed, Analyser: d.Analyser, Calibrated: d.Calibrated == "yes"}, t.now)
	if d.Stage != "" && d.Stage != r.Stage.String() {
		_ = r.Stage.UnmarshalText([]byte(d.Stage)) // "dock" or "boat": never fails
		t.trip.Note(roster.Act{At: t.now, By: t.me.ID, Verb: "stage", On: string(r.ID), Detail: map[string]string{"now": d.Stage}})
	}
	t.newReading(p, c, r)
	b := t.board()
	pb := b.Of(p.ID)
	lines := []message.Line{t.ownLine(pb)}
	lines = append(lines, t.findingLines(decisive(pb.Verdict, pb.Own, nil))...)
	lines = append(lines, t.readBack(c, r))
	if n := numbersOf(pb, c.ID); n != nil {
		if countsRicher(c, n) {
			lines = append(lines, message.Say("for.richer", message.Args{"rich": message.Percent(n.Rich)}))
		}
		lines = append(lines, message.Say("for.label", message.Args{"mod": message.Limit(n.Label)}))
	}
	t.send(message.Message{Lines: lines, Buttons: [][]message.Button{
		oneButton("lundo "+string(r.ID), message.Say("for.button.undo", nil))}})
	if p.ID != t.me.ID && canBeTold(p) {
		t.tell(p.ID, roster.Urgent, true, message.Message{Lines: []message.Line{message.Say("for.told", message.Args{
			"leader": t.nameOf(t.me.ID), "cylinder": message.Of(cylinderName(c)), "percent": message.Percent(r.Percent)})}})
	}
	t.queueMoves()
}

func (t *turn) readBack(c *roster.Cylinder, r *roster.Reading) message.Line {
	a := message.Args{"cylinder": message.Of(cylinderName(c)), "percent": message.Percent(r.Percent),
		"stage": message.Of(message.Say("stage."+r.Stage.String(), nil))}
	if r.Analyser == "" {
		return message.Say("for.recorded", a)
	}
	a["analyser"] = message.Name(r.Analyser)
	if !knownAnalyser(t.trip, r.Analyser) {
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
	c, r := t.trip.Reading(roster.ReadingID(args[0]))
	if r == nil || r.Entrant != gas.Witnessed || !t.trip.Undo(r.ID, t.me.ID, t.now) {
		t.say(message.Say("for.nothing-to-undo", nil))
		return
	}
	p, _ := t.trip.Cylinder(c.ID)
	t.say(message.Say("for.undone", message.Args{"name": t.nameOf(p.ID), "percent": message.Percent(r.Percent),
		"cylinder": message.Of(cylinderName(c)), "command": message.Code("/for")}))
	if p.ID != t.me.ID && canBeTold(p) {
		t.tell(p.ID, roster.Urgent, true, message.Message{Lines: []message.Line{message.Say("for.undone.told", message.Args{
			"leader": t.nameOf(t.me.ID), "percent": message.Percent(r.Percent), "cylinder": message.Of(cylinderName(c))})}})
	}
}
