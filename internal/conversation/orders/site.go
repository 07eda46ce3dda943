package orders

import (
	"slices"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// ReadDive puts what somebody typed of a dive, in English words, into its plan:
// "Anvil Ledge 33 m bottom 36 25 min". A number without a unit that stands alone
// is a depth in unit. bottom tells whether one was said, also that there is none
// or that it is not known. problem is an empty line when the text can be taken.
func ReadDive(plan roster.Dive, text string, unit gas.Unit) (is roster.Dive, bottom bool, problem message.Line) {
	ch, problem := ParseSite(text, unit)
	if problem.Key != "" {
		return plan, false, problem
	}
	is = ch.Apply(plan, unit)
	if is.Bottom.Known() && is.Depth.DeeperThan(is.Bottom) {
		return plan, false, message.Say("site.bottom-above", message.Args{
			"bottom": message.Bottom(is.Bottom), "depth": message.Planned(is.Depth)})
	}
	return is, ch.BottomSaid, message.Line{}
}

// Example is one of two ways to type a command, by the unit of depth.
func Example(unit gas.Unit, metres, feet string) message.Value {
	if unit == gas.Feet {
		return message.Code(feet)
	}
	return message.Code(metres)
}

// SiteChange is what a leader typed of a dive; nil is left as it is.
type SiteChange struct {
	Name, Reason string
	Depth        gas.Depth
	Bottom       gas.Depth
	Bottomless   bool
	BottomSaid   bool // bottom or bottomless was typed, or that it is not known
	Minutes      float64
	Rest         float64 // minutes at the surface before it
	Water        *gas.Water
}

// TakeBareNumber takes a number without a unit after a site's name: after one of the
// trip's dives it is a depth. After another it may be of the name, and only a depth
// beside it tells.
func (ch *SiteChange) TakeBareNumber(dives []roster.Dive, unit gas.Unit) message.Line {
	words := strings.Fields(ch.Name)
	if len(words) < 2 || ch.Depth.Known() || isSite(dives, ch.Name) {
		return message.Line{}
	}
	number, name := words[len(words)-1], strings.Join(words[:len(words)-1], " ")
	if strings.Trim(number, "0123456789.,") != "" {
		return message.Line{}
	}
	d, _, ok := TakeDepth([]string{number}, unit)
	switch {
	case !ok:
		return message.Line{}
	case isSite(dives, name):
		ch.Name, ch.Depth = name, d
		return Absurd(d)
	}
	return message.Say("site.bare-number", message.Args{"typed": message.Name(number),
		"example": Example(unit, ch.Name+" 25 m", ch.Name+" 80 ft")})
}

// isSite tells whether a site of the dives has that name.
func isSite(dives []roster.Dive, name string) bool {
	return slices.ContainsFunc(dives, func(d roster.Dive) bool { return FoldName(d.Site) == FoldName(name) })
}

// longestSite is how much of a site's name is kept, in characters.
const longestSite = 80

// mostSiteWords is how many words a change of a dive may have.
const mostSiteWords = 40

// ParseSite reads what a leader typed of a dive. Whatever is no depth, bottom,
// time or water is the site's name; a number without a unit is a depth only
// when no name stands beside it, since sites are called Wreck 9 or Three 3 as well. problem is
// an empty line when the text can be taken.
func ParseSite(text string, unit gas.Unit) (ch SiteChange, problem message.Line) {
	text, ch.Reason = Because(text)
	words := strings.Fields(strings.ReplaceAll(text, ", ", " "))
	var name []string
	if len(words) > mostSiteWords {
		return ch, message.Say("site.too-long", nil)
	}
	alone := len(words) == 1
	for len(words) > 0 && problem.Key == "" {
		n := 0
		if n, problem = ch.take(words, unit, alone); n == 0 {
			name = append(name, words[0])
			n = 1
		}
		words = words[n:]
	}
	ch.Name = Clip(strings.Join(name, " "), longestSite)
	if d, rest, ok := TakeDepth(name, unit); ok && len(rest) == 0 && !ch.Depth.Known() && problem.Key == "" {
		ch.Name, ch.Depth, problem = "", d, Absurd(d) // "30 bottom 33": no site is called by a number alone
	}
	if problem.Key == "" && ch.Empty() {
		problem = message.Say("site.nothing", nil)
	}
	return ch, problem
}

// Empty tells whether nothing of a dive was typed; a surface interval alone is read apart.
func (ch *SiteChange) Empty() bool {
	return ch.Name == "" && !ch.Depth.Known() && !ch.BottomSaid && ch.Minutes == 0 && ch.Water == nil
}

// take reads one thing off the front of words and returns how many words it
// took, 0 when they begin nothing that is known here.
func (ch *SiteChange) take(words []string, unit gas.Unit, alone bool) (n int, problem message.Line) {
	if n := ch.takeBottomWord(words); n > 0 {
		return n, message.Line{}
	}
	if strings.EqualFold(words[0], "bottom") && len(words) > 1 {
		return ch.takeBottom(words, unit)
	}
	if strings.EqualFold(words[0], "for") && len(words) > 1 && StartsWithDigit(words[1]) { // "for 30 min"
		return 1, message.Line{}
	}
	if n, w := waterAt(words); n > 0 {
		ch.Water = &w
		return n, message.Line{}
	}
	if !StartsWithDigit(words[0]) {
		return 0, message.Line{}
	}
	if m, rest, ok := TakeMinutes(words); ok &&
		strings.Contains(strings.ToLower(strings.Join(words[:len(words)-len(rest)], "")), "min") {
		ch.Minutes = m
		return len(words) - len(rest), BadMinutes(m)
	}
	d, rest, ok := TakeDepth(words, unit)
	if !ok || !alone && !hasUnit(words[:len(words)-len(rest)]) {
		return 0, message.Line{}
	}
	if ch.Depth.Known() {
		return 0, message.Say("site.two-depths", message.Args{"one": message.Planned(ch.Depth), "two": message.Planned(d)})
	}
	ch.Depth = d
	return len(words) - len(rest), Absurd(d)
}

// takeBottomWord reads "bottomless" and "no bottom".
func (ch *SiteChange) takeBottomWord(words []string) int {
	n := 0
	switch {
	case strings.EqualFold(words[0], "bottomless"):
		n = 1
	case len(words) > 1 && strings.EqualFold(words[0], "no") && strings.EqualFold(words[1], "bottom"):
		n = 2
	default:
		return 0
	}
	ch.BottomSaid, ch.Bottomless, ch.Bottom = true, true, gas.Depth{}
	return n
}

// takeBottom reads "bottom 40m", "bottom none" and "bottom unknown".
func (ch *SiteChange) takeBottom(words []string, unit gas.Unit) (int, message.Line) {
	ch.Bottomless, ch.Bottom = false, gas.Depth{}
	switch strings.ToLower(words[1]) {
	case "none", "no", "bottomless":
		ch.BottomSaid, ch.Bottomless = true, true
		return 2, message.Line{}
	case "unknown":
		ch.BottomSaid = true
		return 2, message.Line{}
	}
	d, rest, ok := TakeDepth(words[1:], unit)
	if !ok {
		return 0, message.Say("site.bottom-unclear", message.Args{"typed": message.Name(strings.Join(words[:2], " "))})
	}
	ch.BottomSaid, ch.Bottom = true, d
	if !d.Known() {
		return len(words) - len(rest), message.Say("depth.none", nil)
	}
	return len(words) - len(rest), message.Line{}
}

// waterAt reads "salt water" and "fresh water".
func waterAt(words []string) (int, gas.Water) {
	if len(words) < 2 || !strings.EqualFold(words[1], "water") {
		return 0, gas.Salt
	}
	switch strings.ToLower(words[0]) {
	case "salt", "sea":
		return 2, gas.Salt
	case "fresh":
		return 2, gas.Fresh
	}
	return 0, gas.Salt
}

// StartsWithDigit tells whether a word begins like a number.
func StartsWithDigit(s string) bool { return s != "" && (s[0] >= '0' && s[0] <= '9' || s[0] == '-') }

// Apply is a plan with the change, in the trip's unit, to the safe side.
func (ch SiteChange) Apply(plan roster.Dive, unit gas.Unit) roster.Dive {
	if ch.Name != "" {
		plan.Site = ch.Name
	}
	if ch.Depth.Known() {
		plan.Depth = ch.Depth.PlannedIn(unit)
	}
	if ch.BottomSaid {
		plan.Bottom, plan.Bottomless = gas.Depth{}, ch.Bottomless
		if ch.Bottom.Known() {
			plan.Bottom = ch.Bottom.PlannedIn(unit)
		}
	}
	if ch.Minutes > 0 {
		plan.Minutes = ch.Minutes
	}
	if ch.Rest > 0 {
		plan.Interval = ch.Rest
	}
	if ch.Water != nil {
		plan.Water = *ch.Water
	}
	return plan
}
