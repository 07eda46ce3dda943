package conversation

import (
	"regexp"
	"strings"
	"testing"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// offWord is how a limit or a cylinder is taken away in a language.
func offWord(tag string) string {
	if words := orders.Phrases("off", tag); len(words) > 0 {
		return words[0]
	}
	return "off"
}

// Every language has the words, and a command reads them: a limit for dive 2 and
// for all, sitting out of dive 2, dive 2 dived.
func TestCommandsReadDivesInEveryLanguage(t *testing.T) {
	const tomasz roster.PersonID = "p2"
	for _, tag := range message.Languages() {
		second := strings.ReplaceAll(orders.Phrases(orders.OneDive, tag)[0], "N", " 2 ")
		every, both := orders.Phrases(orders.All, tag)[0], orders.Phrases(orders.AllDives, tag)[0]
		for _, c := range []struct {
			typed string
			is    func(p *roster.Person) bool
		}{
			{"/limit Tomasz " + second + " 15 m because current",
				func(p *roster.Person) bool { return limitedTo(p, 2) && !limitedTo(p, 1) }},
			{"/limit Tomasz " + every + " 15 m because current",
				func(p *roster.Person) bool { return limitedTo(p, 1) && limitedTo(p, 2) }},
			{"/limit Tomasz " + both + " 15 m because current",
				func(p *roster.Person) bool { return limitedTo(p, 1) && limitedTo(p, 2) }},
			{"/out Tomasz " + second + " gas", func(p *roster.Person) bool { return p.OutOf(2) != nil && p.OutOf(1) == nil }},
			{"/out Tomasz gas " + second, func(p *roster.Person) bool {
				return p.OutOf(2) != nil && p.OutOf(2).Reason == "gas" && p.OutOf(1) == nil
			}},
			{"/out Tomasz gear, " + second, func(p *roster.Person) bool {
				return p.OutOf(2) != nil && p.OutOf(2).Reason == "gear" && p.OutOf(1) == nil
			}},
			{"/out Tomasz tired " + orders.AfterWord(tag) + " " + second,
				func(p *roster.Person) bool { return p.OutOf(1) != nil }},
			{"/limit Tomasz 15 m " + second + " because current",
				func(p *roster.Person) bool { return limitedTo(p, 2) && !limitedTo(p, 1) }},
			{"/limit Tomasz 15 m " + second + " current",
				func(p *roster.Person) bool { return limitedTo(p, 2) && !limitedTo(p, 1) }},
			{"/cylinder Tomasz B8 " + second, func(p *roster.Person) bool {
				return orders.Labelled(p, "B8") != nil &&
					orders.Labelled(p, "B8").Dive == 2
			}},
			{"/cylinder Tomasz 17 " + offWord(tag), func(p *roster.Person) bool { return orders.Labelled(p, "17") == nil }},
			{"/out Tomasz " + both + " gas", func(p *roster.Person) bool { return p.OutOf(2) != nil && p.OutOf(1) != nil }},
			{"/outside Tomasz " + second + " rebreather",
				func(p *roster.Person) bool { return p.OutsideOf(2) != nil && p.OutsideOf(1) == nil }},
		} {
			t.Run(tag+" "+c.typed, func(t *testing.T) {
				d := newDesk(t)
				d.change(func(trip *roster.Draft) { trip.Edit(inês).Language = tag })
				said := d.types(c.typed)
				if p := d.trip.Person(tomasz); !c.is(p) {
					t.Errorf("limits %v, answered %q", p.Limits, said)
				}
			})
		}
	}
}

func limitedTo(p *roster.Person, dive int) bool { return p.LimitOn(dive).Depth == gas.M(15) }

// What the help names for a limit is understood: a dive, all, a team, lifting.
func TestHelpNamesWhatIsUnderstood(t *testing.T) {
	parts := regexp.MustCompile(`[:：;；,，、،؛。]`)
	for _, tag := range message.Languages() {
		text := message.New().Line(message.Say("leader.help.limit", message.Args{"command": message.Code("/limit")}),
			message.Reader{Language: tag})
		understood := map[string]bool{}
		for _, part := range parts.Split(unquoted(text), -1) {
			spoken := orders.ForDives(strings.TrimSpace(part), tag, orders.OneDive, orders.AllDives, orders.All)
			switch got := orders.English(spoken, tag); got {
			case "dive 2", "all", "team 1", "off":
				understood[got] = true
			}
		}
		if len(understood) != 4 {
			t.Errorf("%s: only %v is understood of %q", tag, understood, text)
		}
		out := message.New().Line(message.Say("leader.help.out", message.Args{"command": message.Code("/out")}),
			message.Reader{Language: tag})
		if said := orders.ForDives(lastPart(unquoted(out)), tag, orders.OneDive); !strings.HasPrefix(said, "dive 2") {
			t.Errorf("%s: %q names no dive that is understood", tag, out)
		}
	}
}

// unquoted is a text without quotation marks and marks of direction.
func unquoted(s string) string {
	return strings.NewReplacer("„", "", "“", "", "”", "", "«", "", "»", "", "\u2066", "", "\u2068", "", "\u2069",
		"").Replace(s)
}

// lastPart begins at the word before the last number.
func lastPart(s string) string {
	m := regexp.MustCompile(`[^;；؛。,，:：]*?\d[^;；؛]*$`).FindString(s)
	for _, cut := range []string{"なら "} {
		if i := strings.LastIndex(m, cut); i >= 0 {
			m = m[i+len(cut):]
		}
	}
	return strings.TrimSpace(m)
}
