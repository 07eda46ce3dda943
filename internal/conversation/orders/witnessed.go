package orders

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The parts of a witnessed reading that stand beside its cylinder.

// AirLow and AirHigh bound what is taken as an air point without asking: far
// outside, the analyser is broken or it is another number.
const AirLow, AirHigh gas.Percent = 18, 22.5

// TakeAir takes "[A] air 20.9" out of the words: what the analyser, "" for one that is
// not named, showed in air.
func TakeAir(trip *roster.Trip, words []string) (air gas.Percent, analyser string, rest []string) {
	for i := 1; i+1 < len(words); i++ {
		air, err := reply.Percent(words[i+1])
		if !strings.EqualFold(words[i], "air") || err != nil || air < AirLow || air > AirHigh {
			continue
		}
		if KnownAnalyser(trip, words[i-1]) {
			return air, AnalyserName(trip, words[i-1]), append(slices.Clone(words[:i-1]), words[i+2:]...)
		}
		return air, "", append(slices.Clone(words[:i]), words[i+2:]...)
	}
	return 0, "", words
}

// TakeStage takes the stage, "dock" or "boat", and the analyser out of the words; each
// is "" where it was not said.
func TakeStage(trip *roster.Trip, words []string) (stage, analyser string, rest []string) {
	for i := 0; i < len(words); i++ {
		w := strings.ToLower(strings.Trim(words[i], ",;."))
		switch {
		case w == "dock" || w == "boat":
			stage = w
		case (w == "on" || w == "analyser" || w == "analyzer") && i+1 < len(words):
			i++
			analyser = AnalyserName(trip, words[i])
		case i > 0 && KnownAnalyser(trip, words[i]):
			analyser = AnalyserName(trip, words[i])
		default:
			rest = append(rest, words[i])
		}
	}
	return stage, analyser, rest
}

// ReadPercent reads the number of a witnessed reading. What was ordered, a pressure or
// a slip is never taken for one.
func ReadPercent(text string) (gas.Percent, message.Line) {
	percent, err := reply.Percent(text)
	if err == nil {
		return percent, message.Line{}
	}
	for _, doubt := range reply.Parse(text, reply.Context{}).Unclear {
		if key := "for.doubt." + string(doubt.Why); knownDoubt[doubt.Why] {
			return 0, message.Say(key, message.Args{"typed": message.Name(text)})
		}
	}
	return 0, message.Say("for.doubt", message.Args{"typed": message.Name(text)})
}

// knownDoubt are the doubts that have a sentence of their own here.
var knownDoubt = map[reply.Doubtful]bool{
	reply.Pressure: true, reply.Fraction: true, reply.Slip: true, reply.Blend: true, reply.Vague: true,
}
