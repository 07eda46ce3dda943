package conversation

import (
	"math"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// News for the leaders: what one person's event changed that a leader has to
// know without asking. It is found by comparing the board before and after
// the event, so that it does not matter which handler caused it.

// newsRules are the rules whose new findings reach the leaders even when the
// verdict is no no-go, by the severity from which they do.
var newsRules = map[gas.Rule]bool{
	gas.RuleAsked: true, gas.RuleCard: true, gas.RuleAirIsNotAir: true, gas.RuleRepeat: true,
	gas.RuleSameCylinder: true, gas.RuleImproved: true, gas.RuleAirPoint: true, gas.RuleDepthLimit: true,
}

// mostNews is how many lines of news are said; more are a matter for /board.
const mostNews = 6

// before is how the trip stood when the event came.
type before struct {
	acts     int
	patterns []gas.Pattern
	boards   []roster.Board // the present one, and those that were signed: what a reopening brings back is no news
	reopened []bool
	left     []roster.PersonID
}

// lookBefore notes what news will be compared with.
func lookBefore(t *turn) before {
	b := before{acts: len(t.trip.Acts), patterns: t.trip.Patterns(), boards: []roster.Board{t.board()}}
	for _, s := range t.trip.SignOffs {
		b.reopened = append(b.reopened, s.Reopened != nil)
		b.boards = append(b.boards, s.Board)
	}
	for _, p := range t.trip.People {
		if !p.Left.IsZero() {
			b.left = append(b.left, p.ID)
		}
	}
	return b
}

// had tells whether a person had a finding before.
func (b *before) had(p roster.PersonID, f *gas.Finding) bool {
	for i := range b.boards {
		pb := b.boards[i].Of(p)
		if pb == nil {
			continue
		}
		for k := range pb.Verdict.Findings {
			if saysTheSame(f, &pb.Verdict.Findings[k]) {
				return true
			}
		}
	}
	return false
}

// unchanged tells at a glance that a person has the very findings of before:
// the trip's memory gives the same list again.
func (b *before) unchanged(pb *roster.PersonBoard) bool {
	was, now := b.boards[0].Of(pb.Person), pb.Verdict.Findings
	return was != nil && len(now) > 0 && len(was.Verdict.Findings) == len(now) && &was.Verdict.Findings[0] == &now[0]
}

// saysTheSame tells findings of one person apart by what a leader would call
// something new.
func saysTheSame(f, g *gas.Finding) bool {
	return f.Rule == g.Rule && f.Case == g.Case && f.Severity == g.Severity && f.Cylinder == g.Cylinder &&
		f.Measured == g.Measured && f.Other == g.Other
}

// tellNews tells the leaders and the shop what is new; it runs after every
// event.
func (t *turn) tellNews(board *roster.Board) {
	if len(t.trip.Acts) == t.before.acts {
		return // nothing was done
	}
	var lines []message.Line
	for i := range board.People {
		pb := &board.People[i]
		if p := t.trip.Person(pb.Person); !p.Left.IsZero() && !slices.Contains(t.before.left, p.ID) {
			lines = append(lines, message.Loud("news.left", message.Args{"name": t.nameOf(p.ID), "out": message.Code("/out")}))
			continue
		}
		if pb.Active {
			lines = append(lines, t.newsOf(pb)...)
		}
	}
	lines = append(t.newPatterns(), lines...)
	switch {
	case len(lines) == 0:
		return
	case len(lines) > mostNews:
		lines = append(lines[:mostNews:mostNews], message.Say("news.more", message.Args{"command": message.Code("/board")}))
	}
	t.tellLeaders(message.Message{Lines: lines})
}

// newsOf are the new findings of one person that leaders have to know, under
// the person's verdict.
func (t *turn) newsOf(pb *roster.PersonBoard) []message.Line {
	if t.before.unchanged(pb) {
		return nil
	}
	var lines []message.Line
	said := map[string]bool{} // what to do, once for each cylinder
	for i := range pb.Verdict.Findings {
		if f := &pb.Verdict.Findings[i]; !concerns(f) || t.before.had(pb.Person, f) {
			continue
		}
		f := pb.Verdict.Findings[i]
		if f.Rule == gas.RuleAsked && weighs(f) && f.Case != "replanned" {
			t.happen("fill.questioned", map[string]any{"person": pb.Person, "cylinder": f.Cylinder,
				"asked": f.Other, "off": math.Round(f.Measured.Value*100) / 100})
		}
		if said[f.Cylinder] {
			f.Do = ""
		}
		said[f.Cylinder] = true
		lines = append(lines, t.findingFor(f))
	}
	if len(lines) == 0 {
		return nil
	}
	return append([]message.Line{message.Loud("news.person", message.Args{"name": t.nameOf(pb.Person),
		"verdict": ownVerdict(pb, t.onDive())})}, lines...)
}

// concerns tells whether leaders have to know of a finding when it is new.
func concerns(f *gas.Finding) bool {
	return f.Severity == gas.Stop || newsRules[f.Rule] && weighs(*f)
}

// weighs tells whether a finding says that something is not as it should be.
func weighs(f gas.Finding) bool {
	return f.Severity == gas.Note || f.Severity == gas.Limits || f.Severity == gas.Missing || f.Severity == gas.Stop
}

// findingLines are findings for the leader; what to do is said once for each
// cylinder when it is the same.
func (t *turn) findingLines(fs []gas.Finding) []message.Line {
	var lines []message.Line
	said := map[string]bool{}
	for _, f := range fs {
		key := f.Cylinder + " " + f.Do
		if said[key] {
			f.Do = ""
		}
		said[key] = true
		lines = append(lines, t.findingFor(f))
	}
	return lines
}

// findingFor is a finding for the leader: the cylinder, what is the matter,
// what to do.
func (t *turn) findingFor(f gas.Finding) message.Line {
	text, do := message.FindingForLeader(f)
	a := message.Args{"text": message.Of(text)}
	key := "board.why"
	if _, c := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); c != nil {
		key, a["cylinder"] = key+".cylinder", message.Of(t.cylinderOn(c))
	}
	if do.Key != "" {
		key, a["do"] = key+".do", message.Of(do)
	}
	return message.Say(key, a)
}
