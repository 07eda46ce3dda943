package conversation

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The surface interval before a dive, as a leader changes it with the plan: in
// minutes ("after 60 min") or by the clock ("after 10:30"), which counts from the end
// of the dive before.

// longestRest is what the API takes, in minutes.
const longestRest = 24 * 60

// takeRest takes the surface interval before a dive out of what was typed, in
// minutes; 0 where none was.
func (t *turn) takeRest(dive int, text string) (minutes float64, rest string, problem message.Line) {
	words := strings.Fields(reply.PlainDigits(text))
	for i := 0; i+1 < len(words) && !strings.HasPrefix(t.english(strings.Join(words[i:], " ")), "because"); i++ {
		if !orders.IsAfter(words[i], t.me().Language) || !orders.StartsWithDigit(words[i+1]) {
			continue
		}
		if dive == 1 {
			return 0, text, message.Say("rest.first", nil)
		}
		minutes, n, problem := t.restOf(dive, words[i+1:])
		return minutes, strings.Join(slices.Delete(words, i, i+1+n), " "), problem
	}
	return 0, text, message.Line{}
}

// restOf reads minutes, hours or a time of day off the front of words, and returns how many
// words it took.
func (t *turn) restOf(dive int, words []string) (minutes float64, n int, problem message.Line) {
	if minutes, n := orders.TakeHours(words); n > 0 {
		if minutes <= 0 || minutes > longestRest {
			return 0, n, message.Say("minutes.absurd", message.Args{"longest": message.Minutes(longestRest)})
		}
		return minutes, n, message.Line{}
	}
	if at, rest := t.takeUp(words); !at.IsZero() {
		ended := t.trip.Starts(dive).Add(-restBefore(&t.trip.Dives[dive-1]))
		day := 24 * time.Hour
		wait := (at.Sub(ended)%day + day) % day // the next time that it is so late
		return wait.Round(time.Minute).Minutes(), len(words) - len(rest), message.Line{}
	}
	for n := min(2, len(words)); n > 0; n-- {
		minutes, problem = orders.ReadMinutes(t.english(strings.Join(words[:n], " ")), longestRest)
		if problem.Key == "" {
			return minutes, n, problem
		}
	}
	return 0, 1, problem
}

func restBefore(d *roster.Dive) time.Duration {
	return time.Duration(d.Interval * float64(time.Minute))
}

// restUsage says how the surface interval before a dive is typed, in the actor's words.
func (t *turn) restUsage() message.Line {
	word := orders.AfterWord(t.me().Language)
	a := message.Args{"example": message.Code(word + " 60 min"), "clock": message.Code(word + " 10:30")}
	return message.Say("rest.usage", a)
}

// diveNews is what changed of a dive's plan, and of the surface interval before it.
func diveNews(dive int, was, now roster.Dive, who message.Value) []message.Line {
	a := message.Args{"dive": message.Count(dive), "plan": message.Of(message.Plan(now)), "who": who}
	lines := []message.Line{message.Loud("plan.changed", a)}
	if !samePlan(was, now) {
		lines = append(lines, message.Say("plan.was", message.Args{"plan": message.Of(message.Plan(was))}))
	}
	return append(lines, restNews(was, now)...)
}

// restNews is how the surface interval before a dive changed, if it did.
func restNews(was, now roster.Dive) []message.Line {
	if was.Interval == now.Interval {
		return nil
	}
	a := message.Args{"was": message.Minutes(was.Interval), "now": message.Minutes(now.Interval)}
	return []message.Line{message.Say("broken.interval", a)}
}
