package message

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Differs is what broke a signature: the fact, whose it is, and what it was and
// is, in the reader's words. The sentences are "broken.FACT", for the names of
// roster.Facts; ".back" where a fact is no more.
func Differs(t *roster.Trip, b *roster.Broken) Line {
	what, field, _ := strings.Cut(b.What, " ") // "policy ppo2"
	a := Args{"was": factValue(what, field, b.Was), "now": factValue(what, field, b.Now)}
	if p := t.Person(b.Person); p != nil && !p.Erased {
		a["name"] = Name(p.Name)
	} else {
		a["name"] = Of(Say("leader.erased", nil))
	}
	if what == roster.FactPolicy {
		a["was"] = Of(Say("policy."+field, Args{"value": a["was"]}))
	}
	return Say("broken."+what+change(what, b), a)
}

// change is how the sentence of a fact goes on that came new or is no more.
func change(what string, b *roster.Broken) string {
	switch {
	case b.Now == "" && (what == roster.FactLeft || what == roster.FactSpeak):
		return ".back"
	case what == roster.FactRole && b.Was == "":
		return ".new"
	case what == roster.FactRole && b.Now == "":
		return ".gone"
	case what == roster.FactCylinders:
		return cylinderChange(b.Was, b.Now)
	}
	return ""
}

// cylinderChange is what is different about somebody's only cylinder, "" where that is
// not told in a word.
func cylinderChange(was, now string) string {
	w, n := cylinderParts.FindStringSubmatch(was), cylinderParts.FindStringSubmatch(now)
	switch {
	case w == nil || n == nil:
		return ""
	case w[1] != n[1]:
		return ".swapped"
	case w[3] != n[3] && n[3] != "":
		return ".co"
	case w[2] != n[2] && n[2] == "":
		return ".nothing"
	case w[2] != n[2]:
		return ".reading"
	}
	return ""
}

// cylinderParts are how often it was swapped, the readings that count, and carbon
// monoxide, of the fact of one cylinder; see roster.FactCylinders.
var cylinderParts = regexp.MustCompile(`^in use true, changed (\d+), values ([^;,]*), co ([^;,]*), boat [^;]*$`)

// factValue is the value of a fact, which is kept as text, as a value of the
// reader's language and units. What it can't read it leaves as it is.
func factValue(what, field, text string) Value {
	switch what {
	case roster.FactPolicy:
		return policyValue(field, text)
	case roster.FactWater, roster.FactCard, roster.FactSpeak:
		if text == "" {
			return Of(Say("fact.none", nil))
		}
		return Of(Say("fact."+what+"."+text, nil))
	case roster.FactStatus:
		return statusValue(text)
	case roster.FactAltitude:
		n, _ := strconv.ParseFloat(text, 64)
		return Planned(gas.M(n))
	}
	switch d, ok := depthOf(text); {
	case text == "":
		return Of(Say("fact.none", nil))
	case what == factSite:
		return Name(text)
	case what == roster.FactBottom && text == "none": // nobody can reach it
		return Of(Say("fact.no-bottom", nil))
	case ok && what == roster.FactBottom:
		return Bottom(d)
	case ok && what == roster.FactDepth:
		return Planned(d)
	case ok:
		return Limit(d)
	}
	if n, err := strconv.ParseFloat(text, 64); err == nil && what == roster.FactInterval {
		return Minutes(n)
	}
	return numberOf(text)
}

// factSite is the name of the fact where a dive is.
const factSite = "site"

// statusValue is a status by its verdict word, without a depth: the max is a
// fact of its own.
func statusValue(text string) Value {
	var s gas.Status
	if s.UnmarshalText([]byte(text)) == nil && s == gas.NotCleared {
		return Of(Say("verdict.uncleared", nil))
	}
	return Of(Verdict(s, gas.Depth{}))
}

// policyValue is a field of a policy, by its name in the interface.
func policyValue(field, text string) Value {
	switch field {
	case "boat_check":
		return Of(Say("policy.boat-check."+text, nil))
	case "oxygen_credit":
		key := "policy.oxygen-credit.none"
		if text == "true" {
			key = "policy.oxygen-credit.custom"
		}
		return Of(Say(key, nil))
	}
	d, ok := depthOf(text)
	switch {
	case ok && d.Known():
		return Limit(d)
	case ok:
		return Of(Say("fact.none", nil))
	}
	return numberOf(text)
}

// depthOf reads "33.5 m".
func depthOf(text string) (gas.Depth, bool) {
	number, symbol, both := strings.Cut(text, " ")
	n, err := strconv.ParseFloat(number, 64)
	var unit gas.Unit
	if !both || err != nil || unit.UnmarshalText([]byte(symbol)) != nil {
		return gas.Depth{}, false
	}
	return gas.Depth{Value: n, Unit: unit}, true
}

// numberOf is a number without decimals where it has none.
func numberOf(text string) Value {
	n, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil:
		return Text(text)
	case n == math.Trunc(n):
		return Count(int(n))
	}
	return Points(n)
}
