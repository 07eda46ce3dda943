package conversation

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// longestSite is how much of a site's name is kept, in characters.
const longestSite = 80

// mostSiteWords is how many words a change of a dive may have.
const mostSiteWords = 40

// parseSite reads what a leader typed of a dive. Whatever is no depth, bottom,
// time or water is the site's name; a number without a unit is a depth only
// when it stands alone, since sites are called Wreck 9 or Three 3 as well. problem is an empty line when the text
// can be taken.
func parseSite(text string, unit gas.Unit) (ch siteChange, problem message.Line) {
	text, ch.reason = because(text)
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
	ch.name = clip(strings.Join(name, " "), longestSite)
	if problem.Key == "" && ch.empty() {
		problem = message.Say("site.nothing", nil)
	}
	return ch, problem
}

func (ch *siteChange) empty() bool {
	return ch.name == "" && !ch.depth.Known() && !ch.bottomSaid && ch.minutes == 0 && ch.water == nil
}

// take reads one thing off the front of words and returns how many words it
// took, 0 when they begin nothing that is known here.
func (ch *siteChange) take(words []string, unit gas.Unit, alone bool) (n int, problem message.Line) {
	if n := ch.takeBottomWord(words); n > 0 {
		return n, message.Line{}
	}
	if strings.EqualFold(words[0], "bottom") && len(words) > 1 {
		return ch.takeBottom(words, unit)
	}
	if n, w := waterAt(words); n > 0 {
		ch.water = &w
		return n, message.Line{}
	}
	if !startsWithDigit(words[0]) {
		return 0, message.Line{}
	}
	if m, rest, ok := takeMinutes(words); ok &&
		strings.Contains(strings.ToLower(strings.Join(words[:len(words)-len(rest)], "")), "min") {
		ch.minutes = m
		return len(words) - len(rest), badMinutes(m)
	}
	d, rest, ok := takeDepth(words, unit)
	if !ok || !alone && !hasUnit(words[:len(words)-len(rest)]) {
		return 0, message.Line{}
	}
	if ch.depth.Known() {
		return 0, message.Say("site.two-depths", message.Args{"one": message.Planned(ch.depth), "two": message.Planned(d)})
	}
	ch.depth = d
	return len(words) - len(rest), absurd(d)
}

// takeBottomWord reads "bottomless" and "no bottom".
func (ch *siteChange) takeBottomWord(words []string) int {
	n := 0
	switch {
	case strings.EqualFold(words[0], "bottomless"):
		n = 1
	case len(words) > 1 && strings.EqualFold(words[0], "no") && strings.EqualFold(words[1], "bottom"):
		n = 2
	default:
		return 0
	}
	ch.bottomSaid, ch.bottomless, ch.bottom = true, true, gas.Depth{}
	return n
}

// takeBottom reads "bottom 40m", "bottom none" and "bottom unknown".
func (ch *siteChange) takeBottom(words []string, unit gas.Unit) (int, message.Line) {
	ch.bottomless, ch.bottom = false, gas.Depth{}
	switch strings.ToLower(words[1]) {
	case "none", "no", "bottomless":
		ch.bottomSaid, ch.bottomless = true, true
		return 2, message.Line{}
	case "unknown":
		ch.bottomSaid = true
		return 2, message.Line{}
	}
	d, rest, ok := takeDepth(words[1:], unit)
	if !ok {
		return 0, message.Say("site.bottom-unclear", message.Args{"typed": message.Name(strings.Join(words[:2], " "))})
	}
	ch.bottomSaid, ch.bottom = true, d
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

func startsWithDigit(s string) bool { return s != "" && (s[0] >= '0' && s[0] <= '9' || s[0] == '-') }

// LongestDive is the longest dive that is believed, in minutes.
const LongestDive = 240

func badMinutes(m float64) message.Line {
	if m <= 0 || m > LongestDive {
		return message.Say("minutes.absurd", message.Args{"longest": message.Minutes(LongestDive)})
	}
	return message.Line{}
}

// apply is a plan with the change, in the trip's unit, to the safe side.
func (ch siteChange) apply(plan roster.Dive, unit gas.Unit) roster.Dive {
	if ch.name != "" {
		plan.Site = ch.name
	}
	if ch.depth.Known() {
		plan.Depth = ch.depth.PlannedIn(unit)
	}
	if ch.bottomSaid {
		plan.Bottom, plan.Bottomless = gas.Depth{}, ch.bottomless
		if ch.bottom.Known() {
			plan.Bottom = ch.bottom.PlannedIn(unit)
		}
	}
	if ch.minutes > 0 {
		plan.Minutes = ch.minutes
	}
	if ch.rest > 0 {
		plan.Interval = ch.rest
	}
	if ch.water != nil {
		plan.Water = *ch.water
	}
	return plan
}
