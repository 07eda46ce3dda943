// Package newcomer is the dialogue with somebody who opened a trip's open invite
// and is not on the trip: name, card and qualification, what they would breathe.
// It is pure, and says nothing of the trip but its name, its day and how many dives
// there are; what is recommended is never beyond card or site.
package newcomer

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Form is what somebody said of themself so far.
type Form struct {
	Trip       roster.TripID  `json:"trip"`
	Generation int            `json:"generation"` // of the link that they came by
	Name       string         `json:"name,omitempty"`
	Card       gas.Card       `json:"card,omitempty"` // unseen: they have one; none
	DepthLimit gas.Depth      `json:"depth_limit,omitzero"`
	Asked      map[int]string `json:"asked,omitempty"` // by dive: a whole percent, or "none"
}

// Verb is what a button of the dialogue begins with.
const Verb = "newcomer"

// None is that somebody needs no cylinder for a dive.
const None = "none"

// Next is the next question; done tells that none is left. own is what their
// account is called, to be confirmed with a tap; "" when that is not known.
func (f *Form) Next(t *roster.Trip, own string) (m message.Message, done bool) {
	a := message.Args{"trip": message.Name(t.Name), "day": message.Day(t.Departs, t.Zone)}
	switch n := f.dive(t); {
	case f.Name == "":
		m = message.Message{Lines: []message.Line{message.Loud("newcomer.name", a)}}
		if own = roster.CleanName(own); own != "" {
			m.Buttons = [][]message.Button{{{Label: message.Say("newcomer.button.name",
				message.Args{"name": message.Name(own)}), Do: Verb + " own"}}}
		}
	case f.Card == "":
		m = message.Message{Lines: []message.Line{message.Say("newcomer.card", nil)}, Buttons: cardButtons(t.Units)}
	case n > 0:
		m = f.askBlend(t, n)
	default:
		return m, true
	}
	return m, false
}

// dive is the first dive ahead that nothing was said of, 0 when there is none.
func (f *Form) dive(t *roster.Trip) int {
	for n := 1; n <= len(t.Dives); n++ {
		if _, said := f.Asked[n]; !said && t.Dives[n-1].Outcome == nil {
			return n
		}
	}
	return 0
}

// depths are what people are qualified for, by the names of the trade.
var depths = map[gas.Unit][]float64{gas.Metres: {18, 30, 40}, gas.Feet: {60, 100, 130}}

// cardButtons ask for card and qualification with one tap.
func cardButtons(u gas.Unit) (rows [][]message.Button) {
	for _, card := range []string{"card", "nocard"} {
		for _, d := range depths[u] {
			limit := gas.Depth{Value: d, Unit: u}
			rows = append(rows, []message.Button{{Label: message.Say("newcomer.button."+card,
				message.Args{"depth": message.Limit(limit)}),
				Do: Verb + " " + card + " " + strconv.Itoa(int(d))}})
		}
	}
	return rows
}

func (f *Form) askBlend(t *roster.Trip, n int) message.Message {
	best, richest := f.Fits(t, n)
	m := message.Message{Lines: []message.Line{message.Say("newcomer.blend",
		message.Args{"dive": message.Count(n), "richest": message.Blend(richest)})}}
	for _, b := range slices.Compact([]gas.Percent{best, gas.Air}) {
		m.Buttons = append(m.Buttons, []message.Button{{Label: message.Say("newcomer.button.blend",
			message.Args{"blend": message.Blend(b)}),
			Do: Verb + " ask " + strconv.Itoa(n) + " " + strconv.Itoa(int(b))}})
	}
	return append1(m, message.Button{Label: message.Say("newcomer.button.no-cylinder", nil),
		Do: Verb + " ask " + strconv.Itoa(n) + " " + None})
}

func append1(m message.Message, b message.Button) message.Message {
	m.Buttons = append(m.Buttons, []message.Button{b})
	return m
}

// Fits are the blend that is recommended for dive n and the richest that fits at
// all; air where nothing richer does.
func (f *Form) Fits(t *roster.Trip, n int) (best, richest gas.Percent) {
	best, richest = gas.RichestFor(t.Policy, gas.Diver{Card: f.Card, DepthLimit: f.DepthLimit, Dive: t.GasDive(n)})
	return max(best, gas.Air), max(richest, gas.Air)
}

// Typed puts what was typed into the form and says what is wrong with it.
func (f *Form) Typed(t *roster.Trip, text string) message.Line {
	switch n := f.dive(t); {
	case f.Name == "":
		return f.SetName(text)
	case f.Card == "":
		return message.Say("newcomer.tap", nil)
	case n > 0:
		return f.SetBlend(t, n, text)
	}
	return message.Line{}
}

// longestLabel is how long a label may be, in characters.
const longestLabel = 20

// asking are the signs of somebody who asks or calls: neither a name nor a label.
const asking = "?!？！؟"

// labelWords is how many words a label has at most: who waits writes sentences, too.
const labelWords = 2

// Label reads what stands on somebody's first cylinder. A reading is no label, nor is
// a question.
func Label(text string) (label string, problem message.Line) {
	label = roster.CleanName(text)
	long := len([]rune(label)) > longestLabel || len(strings.Fields(label)) > labelWords
	if label == "" || long || strings.ContainsAny(label, ".,%"+asking) {
		return "", message.Say("diver.label.wrong", message.Args{"count": message.Count(longestLabel)})
	}
	return label, message.Line{}
}

// Waits is what is said to somebody who waits now; who brings a cylinder may say
// its label meanwhile.
func Waits(t *roster.Trip, n *roster.Newcomer) message.Message {
	m := message.Message{Lines: []message.Line{
		message.Loud("newcomer.waits", message.Args{"trip": message.Name(t.Name), "name": message.Name(n.Name)}), Line(n)}}
	switch brings := slices.ContainsFunc(n.Asked, func(p gas.Percent) bool { return p > 0 }); {
	case n.Label != "":
		m.Lines = append(m.Lines, message.Say("diver.label.noted", message.Args{"label": message.Name(n.Label)}))
	case brings:
		m.Lines = append(m.Lines, message.Say("step.label", nil))
	}
	return m
}

// SetName takes a name.
func (f *Form) SetName(text string) message.Line {
	name := roster.CleanName(text)
	wrong := !strings.ContainsFunc(name, letter) || strings.ContainsAny(name, asking)
	if wrong || len([]rune(name)) > roster.MaxName {
		return message.Say("newcomer.name.wrong", nil)
	}
	f.Name = name
	return message.Line{}
}

// letter tells letters from digits and signs: a number is no name.
func letter(r rune) bool { return r > '9' || r == '_' }

// SetCard takes whether somebody has a card, and how deep they are qualified; a
// zero depth is not said.
func (f *Form) SetCard(has bool, limit gas.Depth) {
	f.Card, f.DepthLimit = gas.CardNone, limit
	if has {
		f.Card = gas.CardUnseen
	}
}

// SetBlend takes what somebody would breathe on a dive: a blend as it is ordered, or
// None. Nothing beyond card or site is taken.
func (f *Form) SetBlend(t *roster.Trip, n int, text string) message.Line {
	if f.Asked == nil {
		f.Asked = map[int]string{}
	}
	if text = strings.TrimSpace(text); strings.EqualFold(text, None) {
		f.Asked[n] = None
		return message.Line{}
	}
	_, richest := f.Fits(t, n)
	a := message.Args{"typed": message.Name(text), "richest": message.Blend(richest)}
	blend, ok := blendOf(text)
	switch {
	case !ok:
		return message.Say("newcomer.blend.unclear", a)
	case blend > gas.Air && f.Card == gas.CardNone:
		return message.Say("newcomer.blend.no-card", a)
	case blend > richest:
		return message.Say("newcomer.blend.rich", a)
	}
	f.Asked[n] = strconv.Itoa(int(blend))
	return message.Line{}
}

// blendOf reads a blend as people order it: "32", "EAN32", "nitrox 32 %", "air".
func blendOf(text string) (gas.Percent, bool) {
	plain := strings.ToLower(reply.PlainDigits(text))
	digits := strings.TrimFunc(plain, func(r rune) bool { return r < '0' || r > '9' })
	n, err := strconv.Atoi(digits)
	switch {
	case plain == "air":
		return gas.Air, true
	case err != nil || n < int(gas.Air) || n > 40:
		return 0, false
	}
	return gas.Percent(n), true
}

// Pressed puts a button's answer into the form; false when the question is over.
func (f *Form) Pressed(t *roster.Trip, args []string, own string) (problem message.Line, ok bool) {
	switch n := f.dive(t); {
	case len(args) == 1 && args[0] == "own" && f.Name == "":
		return f.SetName(own), true
	case len(args) == 2 && (args[0] == "card" || args[0] == "nocard") && f.Name != "" && f.Card == "":
		d, err := strconv.ParseFloat(args[1], 64)
		if err != nil || !slices.Contains(depths[t.Units], d) {
			return problem, false
		}
		f.SetCard(args[0] == "card", gas.Depth{Value: d, Unit: t.Units})
	case len(args) == 3 && args[0] == "ask" && f.Card != "" && args[1] == strconv.Itoa(n):
		return f.SetBlend(t, n, args[2]), true
	default:
		return problem, false
	}
	return message.Line{}, true
}

// Newcomer is who waits then, without an id.
func (f *Form) Newcomer(t *roster.Trip, now time.Time) roster.Newcomer {
	n := roster.Newcomer{Name: f.Name, Card: f.Card, DepthLimit: f.DepthLimit, At: now}
	for i := range t.Dives {
		asked, _ := strconv.Atoi(f.Asked[i+1])
		n.Asked = append(n.Asked, gas.Percent(asked))
	}
	return n
}

// Line is what a newcomer said of themself, for those who let them in and for
// themself.
func Line(n *roster.Newcomer) message.Line {
	var blends []message.Value
	for _, b := range n.Asked {
		if b > 0 {
			blends = append(blends, message.Blend(b))
		}
	}
	if len(blends) == 0 {
		return message.Say("newcomer.said.not-diving", nil)
	}
	key := "newcomer.said"
	if n.Card == gas.CardNone {
		key = "newcomer.said.no-card"
	}
	a := message.Args{"blends": message.List(blends...), "depth": message.Limit(n.DepthLimit)}
	if !n.DepthLimit.Known() {
		a["depth"] = message.Name("?")
	}
	return message.Say(key, a)
}

// Depths are what people are qualified for, in that unit.
func Depths(u gas.Unit) []gas.Depth {
	var all []gas.Depth
	for _, d := range depths[u] {
		all = append(all, gas.Depth{Value: d, Unit: u})
	}
	return all
}

// Ahead are the dives that are asked about.
func (f *Form) Ahead(t *roster.Trip) []int {
	var dives []int
	for n := 1; n <= len(t.Dives); n++ {
		if t.Dives[n-1].Outcome == nil {
			dives = append(dives, n)
		}
	}
	return dives
}

// Fill reads a form that was filled in at once: name, card ("card 30" or "nocard
// 18"), and diveN, a blend, None, or "" for what is recommended. It returns what is
// wrong.
func (f *Form) Fill(t *roster.Trip, get func(string) string) []message.Line {
	var wrong []message.Line
	if problem := f.SetName(get("name")); problem.Key != "" {
		wrong = append(wrong, problem)
	}
	if _, ok := f.Pressed(t, strings.Fields(get("card")), ""); !ok || f.Card == "" {
		return append(wrong, message.Say("newcomer.card", nil))
	}
	for _, n := range f.Ahead(t) {
		text := get("dive" + strconv.Itoa(n))
		if text == "" {
			best, _ := f.Fits(t, n)
			text = strconv.Itoa(int(best))
		}
		if problem := f.SetBlend(t, n, text); problem.Key != "" {
			wrong = append(wrong, problem)
		}
	}
	return wrong
}
