package conversation

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The sign-off of a dive. It is refused, naming each diver, while anybody
// active is no-go or has no reading. The leader sees the board in short and
// confirms; what was confirmed is what is signed: when the board has changed
// meanwhile it is shown again.

func signOff(t *turn, _ string) {
	b := t.board()
	switch {
	case b.Dive == 0:
		t.say(message.Say("sign.all-signed", message.Args{"reopen": message.Code("/reopen"), "record": message.Code("/record")}))
	case !signable(&b):
		t.refuseSignOff(&b)
	default:
		t.confirmSignOff(&b)
	}
}

func signOffPressed(t *turn, _ []string) { signOff(t, "") }

func signable(b *roster.Board) bool { return b.Status == gas.Go || b.Status == gas.GoWithLimits }

// refuseSignOff names everybody who stands in the way, with the reason.
func (t *turn) refuseSignOff(b *roster.Board) {
	if b.Counts.Active == 0 {
		t.say(message.Loud("sign.nobody", nil))
		return
	}
	var lines []message.Line
	for i := range b.People {
		if pb := &b.People[i]; blocks(pb) {
			lines = append(lines, gap())
			lines = append(lines, message.Loud("board.person", message.Args{
				"verdict": boardVerdict(pb, b.Dive), "name": t.nameOf(pb.Person)}))
			lines = append(lines, t.whyLines(pb)...)
		}
	}
	head := message.Loud("sign.refused", message.Args{"dive": message.Count(b.Dive),
		"count": message.Count(b.Counts.NoGo + b.Counts.NoReading)})
	lines = append([]message.Line{head}, lines...)
	lines = append(lines, gap(), message.Say("sign.instead", message.Args{"for": message.Code("/for"), "out": message.Code("/out")}))
	t.send(message.Message{Lines: lines, Buttons: t.nudgeButton(b)})
}

// confirmSignOff shows the board in short and asks.
func (t *turn) confirmSignOff(b *roster.Board) {
	lines := []message.Line{message.Loud("sign.sure", message.Args{"dive": message.Count(b.Dive), "site": message.Name(t.site(b.Dive))})}
	lines = append(lines, t.shortBoard(b)...)
	if t.trip.BoatOpen.IsZero() {
		lines = append(lines, gap(), message.Say("sign.no-boat-check", message.Args{"command": message.Code("/boat")}))
	}
	do := fmt.Sprintf("lsigned %d %s", b.Dive, fingerprint(b))
	t.send(message.Message{Lines: append(lines, gap(), caution()), Buttons: [][]message.Button{
		oneButton(do, message.Say("sign.button.yes", message.Args{"dive": message.Count(b.Dive)})),
		oneButton("lnotsigned", message.Say("sign.button.no", nil)),
	}})
}

// shortBoard is what a leader signs: counts, the group's limits, who goes
// with which limits, who sits out.
func (t *turn) shortBoard(b *roster.Board) []message.Line {
	lines := append([]message.Line{countsLine(b)}, t.groupLines(b)...)
	for i := range b.People {
		pb := &b.People[i]
		if !pb.Active || pb.Status != gas.GoWithLimits {
			continue
		}
		lines = append(lines, message.Say("board.person", message.Args{
			"verdict": boardVerdict(pb, b.Dive), "name": t.nameOf(pb.Person)}))
		lines = append(lines, t.whyLines(pb)...)
	}
	lines = append(lines, t.teamLines(b)...)
	lines = append(lines, t.outLines()...)
	return append(lines, policyLines(t.trip)...)
}

// fingerprint tells two boards apart by what a leader signs.
func fingerprint(b *roster.Board) string {
	h := fnv.New32a()
	for i := range b.People {
		pb := &b.People[i]
		fmt.Fprintln(h, pb.Person, pb.Active, pb.Status, pb.Out != nil)
		for _, n := range pb.Verdict.Numbers {
			fmt.Fprintln(h, n.Cylinder, n.Rich, n.MaxDepth, n.MaxMinutes)
		}
	}
	for _, g := range b.Group {
		fmt.Fprintln(h, g)
	}
	return strconv.FormatUint(uint64(h.Sum32()), 36)
}

// signed is the confirmation of a sign-off.
func signed(t *turn, args []string) {
	b := t.board()
	switch {
	case len(args) < 2 || b.Dive == 0 || strconv.Itoa(b.Dive) != args[0]:
		t.say(message.Say("sign.over", nil))
	case !signable(&b):
		t.refuseSignOff(&b)
	case fingerprint(&b) != args[1]:
		t.say(message.Loud("sign.changed", nil))
		t.confirmSignOff(&b)
	default:
		t.sign(&b)
	}
}

func notSigned(t *turn, _ []string) { t.say(message.Say("sign.not", nil)) }

// sign signs the current dive and tells everybody.
func (t *turn) sign(b *roster.Board) {
	if _, ok := t.trip.SignOff(t.me.ID, t.now); !ok {
		t.refuseSignOff(b)
		return
	}
	a := message.Args{"dive": message.Count(b.Dive), "site": message.Name(t.site(b.Dive)), "at": t.clock(t.now),
		"who": t.nameOf(t.me.ID), "record": message.Code("/record"), "next": message.Count(b.Dive + 1)}
	lines := append([]message.Line{message.Loud("sign.done", a)}, t.shortBoard(b)...)
	last := b.Dive == len(t.trip.Dives)
	if last {
		lines = append(lines, message.Say("sign.done.last", a))
	} else {
		lines = append(lines, message.Say("sign.done.next", a))
	}
	t.say(lines...)
	t.happen("dive.signed_off", map[string]any{"dive": b.Dive, "by": t.me.ID, "go": b.Counts.Go,
		"limits": b.Counts.Limits, "out": b.Counts.Out})
	for i := range b.People {
		t.tellSigned(&b.People[i], b.Dive, a)
	}
}

// tellSigned tells one person of the sign-off, with the verdict it holds.
func (t *turn) tellSigned(pb *roster.PersonBoard, dive int, a message.Args) {
	p := t.trip.Person(pb.Person)
	if p.ID == t.me.ID || !canBeTold(p) || !pb.Active && !p.Leader {
		return
	}
	lines := []message.Line{message.Loud("sign.told", a)}
	if pb.Active {
		lines = append(lines, message.Loud("sign.told.verdict", message.Args{"verdict": ownVerdict(pb, dive)}))
	}
	t.tell(p.ID, roster.Urgent, true, message.Message{Lines: lines})
	t.answered[p.ID] = true // what is left to dive is part of what they were told before
}

// stateReopenWhy waits for the reason of a reopening.
const stateReopenWhy State = "leader.reopen-why"

// reopen takes the last sign-off back, for a reason.
func reopen(t *turn, args string) {
	reason := clip(args, longestReason)
	switch {
	case !slices.ContainsFunc(t.trip.SignOffs, func(s roster.SignOff) bool { return s.Reopened == nil }):
		t.done()
		t.say(message.Say("reopen.none", nil))
	case reason == "":
		t.ask(stateReopenWhy, nil, message.Message{Lines: []message.Line{message.Say("reopen.ask-reason", nil)}})
	default:
		t.done()
		t.trip.Reopen(t.me.ID, reason, t.now)
	}
}

func reopenWhyTyped(t *turn, text string) {
	if !t.cancelled(text) {
		reopen(t, text)
	}
}

// tellReopenings tells everybody of sign-offs that this event reopened, by hand
// or by news; it runs after every event.
func (t *turn) tellReopenings() {
	for i := range t.trip.SignOffs {
		s := &t.trip.SignOffs[i]
		if s.Reopened == nil || i < len(t.before.reopened) && t.before.reopened[i] {
			continue
		}
		a := message.Args{"dive": message.Count(s.Dive), "site": message.Name(t.site(s.Dive)), "who": t.nameOf(s.Reopened.By),
			"reason": message.Of(reopenedFor(s.Reopened.Reason)), "board": message.Code("/board"), "sign": message.Code("/signoff")}
		for _, p := range t.trip.People {
			switch {
			case !canBeTold(p) && (t.me == nil || p.ID != t.me.ID):
			case p.Leader:
				t.tell(p.ID, roster.Urgent, true, message.Message{Lines: []message.Line{
					message.Loud("reopen.leader", a), message.Say("reopen.leader.do", a)}})
			case p.Active():
				t.tell(p.ID, roster.Urgent, true, message.Message{Lines: []message.Line{message.Loud("reopen.diver", a)}})
			}
		}
	}
}

// reopenedFor is why a sign-off was reopened: one of the roster's words for
// news, or what a leader typed.
func reopenedFor(reason string) message.Line {
	if newsWords[reason] {
		return message.Say("reopen.because."+reason, nil)
	}
	return reasonLine(reason)
}

// newsWords are the verbs that the roster gives as the reason when news, and
// not a leader, reopened a dive.
var newsWords = map[string]bool{
	roster.VerbReading: true, roster.VerbCorrect: true, roster.VerbUndo: true, roster.VerbMove: true,
	roster.VerbConfirm: true, roster.VerbAnalyser: true, roster.VerbAirPoint: true, roster.VerbLabel: true,
	roster.VerbAsked: true, roster.VerbFill: true, roster.VerbSwap: true, roster.VerbRetire: true,
	roster.VerbCylinder: true, roster.VerbAttend: true, roster.VerbReplan: true, roster.VerbSite: true,
	roster.VerbLimit: true, roster.VerbOut: true, roster.VerbBackIn: true, roster.VerbCard: true,
	roster.VerbAdd: true, roster.VerbPolicy: true, roster.VerbDeparture: true,
}
