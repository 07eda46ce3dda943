package conversation

import (
	"slices"
	"strings"
	"unicode"

	"gasmuster/internal/message"
)

// Numbers of analysers that are sent while a leader is asked something else.

// besideOf answers what is no answer to the question that a leader is asked.
func (t *turn) besideOf(text string) bool {
	return t.alarmedBeside(text) || t.readBeside(text) || t.depthOrReading(text)
}

// wordStates ask for words: whoever sends the number of a cylinder meanwhile means the
// cylinder. Where it is false other numbers are asked for, and the label has to stand
// before it.
var wordStates = map[State]bool{
	stateOut: true, stateBack: true, stateOutside: true, stateReopenWhy: true, stateCallOff: true,
	stateLimit: false, stateSite: false, stateSiteBottom: false, stateSiteSure: false,
}

// readBeside records readings that are sent while a leader is asked for words: no
// number is taken for a reason or a name. The question stays open.
func (t *turn) readBeside(text string) bool {
	bare, words := wordStates[t.session.State]
	if !words {
		return false
	}
	bare = bare || t.asksLimitsReason()
	r := t.parse(text, 0)
	if len(r.Readings) == 0 || len(r.Unclear) > 0 {
		return false
	}
	for _, x := range r.Readings {
		if x.Label == "" && !bare || x.Label != "" && t.spokenLabel(x.Label) == nil {
			return false
		}
	}
	asked := t.session
	t.freely(text)
	if t.session.State == Idle {
		t.session = asked
	}
	return true
}

// asksLimitsReason tells whether a limit is said and its reason is asked for.
func (t *turn) asksLimitsReason() bool {
	var d limitData
	t.data(&d)
	return t.session.State == stateLimit && d.said()
}

// depthStates take a bare number for a depth.
var depthStates = []State{stateLimit, stateSite, stateSiteBottom, stateSiteSure}

// depthOrReading asks what a bare number is where it may be a depth or what the
// analyser showed of a cylinder that the leader speaks of: one with a decimal, and any where
// only yes or no was asked. The question stays open.
func (t *turn) depthOrReading(text string) bool {
	mine := t.spokenOf()
	if !slices.Contains(depthStates, t.session.State) || len(mine) == 0 || strings.ContainsFunc(text, unicode.IsLetter) {
		return false
	}
	r := t.parse(text, 0)
	if len(r.Readings) != 1 || r.Readings[0].Label != "" {
		return false
	}
	percent := float64(r.Readings[0].Percent)
	if percent == float64(int(percent)) && t.session.State != stateSiteSure {
		return false
	}
	label := mine[0].Label
	if label == "" {
		label = "17"
	}
	t.say(message.Say("leader.depth-or-reading", message.Args{"typed": message.Name(text),
		"example": message.Code(label + " " + text)}))
	return true
}
