package conversation

import (
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
	ch, problem := parseSite(text, unit)
	if problem.Key != "" {
		return plan, false, problem
	}
	is = ch.apply(plan, unit)
	if is.Bottom.Known() && is.Depth.DeeperThan(is.Bottom) {
		return plan, false, message.Say("site.bottom-above", message.Args{
			"bottom": message.Bottom(is.Bottom), "depth": message.Planned(is.Depth)})
	}
	return is, ch.bottomSaid, message.Line{}
}

// ReadMinutes is a time as people type it in English words, up to most minutes,
// with what is wrong with it.
func ReadMinutes(text string, most float64) (float64, message.Line) {
	m, rest, ok := takeMinutes(strings.Fields(text))
	if !ok || len(rest) > 0 || m <= 0 || m > most {
		return 0, message.Say("minutes.absurd", message.Args{"longest": message.Minutes(most)})
	}
	return m, message.Line{}
}
