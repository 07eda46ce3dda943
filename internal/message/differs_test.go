package message

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// oneCylinder is the fact of somebody's only cylinder.
func oneCylinder(changed, values, co string) string {
	return "in use true, changed " + changed + ", values " + values + ", co " + co + ", boat kept"
}

// breaking are facts that differed, as they are kept with a signature.
var breaking = []struct {
	b    roster.Broken
	want string // in English
}{
	{roster.Broken{What: "depth", Was: "30 m", Now: "33.5 m"}, "Planned depth: 30 m, now 33.5 m."},
	{roster.Broken{What: "bottom", Was: "36 m", Now: "none"}, "Bottom: 36 m, now no bottom in reach."},
	{roster.Broken{What: "bottom", Now: "36 m"}, "Bottom: none, now 36 m."},
	{roster.Broken{What: "minutes", Was: "22", Now: "35.5"}, "Planned minutes: 22, now 35.5."},
	{roster.Broken{What: "water", Was: "salt", Now: "fresh"}, "Water: salt, now fresh."},
	{roster.Broken{What: "altitude", Now: "1200"}, "Altitude: 0 m, now 1200 m."},
	{roster.Broken{What: "interval", Was: "60", Now: "45"}, "Time at the surface before: 60 min, now 45 min."},
	{roster.Broken{What: "interval", Now: "45"}, "Time at the surface before: none, now 45 min."},
	{roster.Broken{What: "site", Was: "Anvil Ledge", Now: "Sorrel Bank"}, "Site: Anvil Ledge, now Sorrel Bank."},
	{roster.Broken{What: "start", Was: "2027-05-15T08:30:00Z", Now: "2027-05-15T10:30:00Z"},
		"The start moved by more than an hour."},
	{roster.Broken{What: "policy ppo2", Was: "1.4", Now: "1.3"},
		"The trip's settings changed: working ppO2 1.4, now 1.3."},
	{roster.Broken{What: "policy ppo2_max", Was: "1.6", Now: "1.5"},
		"The trip's settings changed: contingency ppO2 1.6, now 1.5."},
	{roster.Broken{What: "policy max_o2", Was: "40", Now: "36"},
		"The trip's settings changed: richest gas in percent 40, now 36."},
	{roster.Broken{What: "policy tolerance", Was: "1", Now: "0.5"},
		"The trip's settings changed: points let pass between asked and measured 1, now 0.5."},
	{roster.Broken{What: "policy tell_shop", Was: "2", Now: "1.5"},
		"The trip's settings changed: points from which the dive is planned again 2, now 1.5."},
	{roster.Broken{What: "policy gf", Was: "85", Now: "70"}, "The trip's settings changed: gradient factor 85, now 70."},
	{roster.Broken{What: "policy fresh_for_hours", Was: "24", Now: "12"},
		"The trip's settings changed: hours that a reading counts 24, now 12."},
	{roster.Broken{What: "policy max_co", Was: "5", Now: "10"},
		"The trip's settings changed: ppm of carbon monoxide 5, now 10."},
	{roster.Broken{What: "policy boat_check", Was: "unattended", Now: "all"},
		"The trip's settings changed: boat check of cylinders that were out of sight, now every cylinder."},
	{roster.Broken{What: "policy oxygen_credit", Was: "true", Now: "false"},
		"The trip's settings changed: CNS credit at the surface: half in 90 minutes, a custom without a published " +
			"source, now none."},
	{roster.Broken{What: "policy deepest", Was: "40 m", Now: "50 m"},
		"The trip's settings changed: deepest plan 40 m, now 50 m."},
	{roster.Broken{What: "policy deepest", Was: "0 m", Now: "50 m"},
		"The trip's settings changed: deepest plan none, now 50 m."},
	{roster.Broken{What: "role", Person: "p1", Was: "diver", Now: "crew"}, "Tomasz's role changed."},
	{roster.Broken{What: "team", Person: "p1", Was: "1", Now: "2"}, "Tomasz's team changed."},
	{roster.Broken{What: "left", Person: "p1", Now: "yes"}, "Tomasz left."},
	{roster.Broken{What: "left", Person: "p1", Was: "yes"}, "Tomasz is back."},
	{roster.Broken{What: "dives", Person: "p1", Now: "yes"}, "Whether Tomasz dives changed."},
	{roster.Broken{What: "out", Person: "p1", Now: "outside"}, "Whether Tomasz sits out or is outside changed."},
	{roster.Broken{What: "card", Person: "p1", Was: "seen", Now: "unseen"}, "Tomasz's card: seen, now not seen."},
	{roster.Broken{What: "card", Person: "p1", Was: "seen", Now: "none"}, "Tomasz's card: seen, now none."},
	{roster.Broken{What: "qualification", Person: "p1", Was: "30 m"}, "Tomasz's qualification changed."},
	{roster.Broken{What: "limit", Person: "p1", Now: "20 m 15"}, "Tomasz's limit changed."},
	{roster.Broken{What: "team-limit", Person: "p1", Now: "20 m"}, "The limit of Tomasz's team changed."},
	{roster.Broken{What: "speak", Person: "p1", Now: "helium"}, "Tomasz said: helium or another system."},
	{roster.Broken{What: "speak", Person: "p1", Now: "distress"}, "Tomasz said: help needed."},
	{roster.Broken{What: "speak", Person: "p1", Now: "leak"}, "Tomasz said: a leak."},
	{roster.Broken{What: "speak", Person: "p1", Now: "bad-gas"}, "Tomasz said: bad gas."},
	{roster.Broken{What: "speak", Person: "p1", Now: "wrong-cylinder"}, "Tomasz said: a wrong or shared cylinder."},
	{roster.Broken{What: "speak", Person: "p1", Was: "leak", Now: "no-card"}, "Tomasz said: no card."},
	{roster.Broken{What: "speak", Person: "p1", Was: "leak"}, "Tomasz: a leader settled what was said."},
	{roster.Broken{What: "dived-before", Person: "p1", Now: "yes"}, "Tomasz: dived in the last 24 hours changed."},
	{roster.Broken{What: "dived", Person: "p1", Was: "1: 30 m 22 min after 0, 32 to 32"},
		"What Tomasz dived before changed."},
	{roster.Broken{What: "cylinders", Person: "p1", Was: oneCylinder("0", "32 A 0", ""), Now: oneCylinder("1", "", "")},
		"Tomasz's cylinder was swapped."},
	{roster.Broken{What: "cylinders", Person: "p1", Was: oneCylinder("0", "32 A 0", ""),
		Now: oneCylinder("0", "32 A 0", "12")}, "Tomasz's cylinder: carbon monoxide was measured."},
	{roster.Broken{What: "cylinders", Person: "p1", Was: oneCylinder("0", "32 A 0", ""), Now: oneCylinder("0", "", "")},
		"Tomasz's cylinder: no reading counts any more."},
	{roster.Broken{What: "cylinders", Person: "p1", Was: oneCylinder("0", "32 A 0", ""),
		Now: oneCylinder("0", "36 A 0", "")}, "Tomasz's cylinder: another reading counts."},
	{roster.Broken{What: "cylinders", Person: "p1", Was: "changed 0, values 32 A 0, co , boat "},
		"Tomasz's cylinder: what counts changed."},
	{roster.Broken{What: "status", Person: "p1", Was: "go", Now: "no-go"}, "Tomasz: ✅ GO, now ⛔ STOP, NO-GO."},
	{roster.Broken{What: "status", Person: "p1", Was: "limits", Now: "not-cleared"},
		"Tomasz: ⚠️ GO WITH LIMITS, now ❓ NOT CLEARED."},
	{roster.Broken{What: "limits", Person: "p1", Now: "asked"}, "What limits Tomasz changed."},
	{roster.Broken{What: "max", Person: "p1", Was: "33 m", Now: "30 m"}, "Tomasz's max depth: 33 m, now 30 m."},
	{roster.Broken{What: "max-minutes", Person: "p1", Now: "22"}, "Tomasz's max minutes: none, now 22."},
}

func TestWhatBrokeASignature(t *testing.T) {
	trip := &roster.Trip{People: []*roster.Person{{ID: "p1", Name: "Tomasz"}}}
	for _, c := range breaking {
		t.Run(c.want, func(t *testing.T) {
			if got := New().Line(Differs(trip, &c.b), Reader{}); got != c.want {
				t.Errorf("got %q", got)
			}
		})
	}
}

// Nothing of how facts are kept is left in another language: no word of the
// store, and neither English words nor gaps.
func TestWhatBrokeASignatureInEveryLanguage(t *testing.T) {
	trip := &roster.Trip{People: []*roster.Person{{ID: "p1", Name: "Tomasz"}}}
	raw := regexp.MustCompile(
		`\b(salt|fresh|seen|unseen|none|yes|unattended|true|false|not-cleared|no-go|limits|ppo2_max|max_co|boat_check|oxygen_credit)\b|⟦|no value`)
	for _, tag := range Languages() {
		for _, c := range breaking {
			got := New().Line(Differs(trip, &c.b), Reader{Language: tag, Units: "ft"})
			if tag != "en" && (raw.MatchString(unmarked(got)) || got == c.want) {
				t.Errorf("%s, %s: %q", tag, c.b.What, got)
			}
			if strings.Contains(unmarked(got), " m ") {
				t.Errorf("%s, %s: %q has metres for a reader of feet", tag, c.b.What, got)
			}
		}
	}
}

// Whatever a trip's facts are called has a sentence.
func TestEveryFactHasASentence(t *testing.T) {
	known := map[string]bool{}
	for _, c := range breaking {
		known[c.b.What] = true
	}
	for _, name := range factNames(t) {
		if !known[name] {
			t.Errorf("the fact %q has no case here", name)
		}
	}
}

// factNames are the names of the facts of a trip's second dive.
func factNames(t *testing.T) []string {
	t.Helper()
	trip := roster.NewTrip("abcdefghij", "")
	trip.Departs = sampleTime
	trip.Policy = gas.DefaultPolicy(gas.Metres)
	trip.Dives = []roster.Dive{{Depth: gas.M(30), Minutes: 20}, {Depth: gas.M(18), Minutes: 20, Interval: 60}}
	trip.People = []*roster.Person{{ID: "p1", Name: "Tomasz", Diver: true, Cylinders: []*roster.Cylinder{
		{ID: "c1", Dive: 1, Asked: 32}, {ID: "c2", Dive: 2, Asked: 32}}}}
	facts := trip.FactsOf(2, sampleTime)
	names := map[string]bool{}
	for _, f := range slices.Concat(facts.Trip, facts.People[0].Facts) {
		names[f.Name] = true
	}
	if !names["dived"] || !names["max"] || len(names) < 20 {
		t.Fatalf("only %v: does the test still see the facts?", names)
	}
	return slices.Sorted(maps.Keys(names))
}
