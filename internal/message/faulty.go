package message

import (
	"strconv"
	"strings"

	"gasmuster/internal/roster"
)

// Faulty says what is wrong with a value of a trip, and what would be accepted. Where it
// is, is said beside it; see FieldKey.
func Faulty(f roster.Fault) Line {
	value := Typed(f.Value)
	switch f.Kind {
	case roster.FaultDives, roster.FaultLeaders, roster.FaultDivers, roster.FaultFull:
		value = Text(f.Value) // a number of things, which nobody typed
	}
	return Say("fault."+string(f.Kind), Args{"value": value, "least": Text(f.Least), "most": Text(f.Most)})
}

// Typed is what somebody typed, in quotes and cut short.
func Typed(s string) Value {
	if r := []rune(s); len(r) > mostTyped {
		s = string(r[:mostTyped]) + "…"
	}
	return Text(`"` + s + `"`)
}

// mostTyped is how many characters of a wrong value are shown.
const mostTyped = 40

// fieldKeys are the words for the fields of a trip and its people, by their names in
// the interface.
var fieldKeys = map[string]string{
	"name": "desk.plan.name", "departs_at": "desk.plan.date", "date": "desk.plan.date", "time": "desk.plan.time",
	"time_zone": "desk.plan.zone", "units": "desk.plan.units", "analysers": "desk.plan.analysers",
	"first_dive_after":   "desk.plan.first",
	"cylinders_ready_at": "desk.plan.ready", "dives": "desk.plan.site",
	"site": "desk.plan.site", "depth": "desk.plan.depth", "minutes": "desk.plan.minutes", "bottom": "desk.plan.bottom",
	"interval": "desk.plan.interval", "water": "desk.plan.water", "altitude": "desk.plan.altitude",
	"ppo2": "desk.policy.ppo2", "ppo2_max": "desk.policy.ppo2_max", "max_o2": "desk.policy.max_o2",
	"deepest": "desk.policy.deepest",
	"max_co":  "desk.policy.max_co", "tolerance": "desk.policy.tolerance", "tell_shop": "desk.policy.tell_shop",
	"gf":              "desk.policy.gf",
	"fresh_for_hours": "desk.policy.fresh_for_hours", "boat_check": "desk.policy.boat_check",
	"role": "desk.role", "leaders": "desk.people", "divers": "desk.people", "crew": "desk.people",
	"card":        "fills.col.card",
	"depth_limit": "fills.col.limit", "team": "desk.team", "language": "desk.language", "outside": "desk.person.outside",
	"cylinders": "desk.requests", "asked": "fills.col.blend", "dive": "fills.col.dive", "label": "fills.col.cylinder",
	"size": "fills.col.size", "owner": "fills.col.owner",
}

// FieldKey is the key of the words for a field, by its name in the interface, "" for
// none.
func FieldKey(name string) string { return fieldKeys[name] }

// FaultyTrip is all that is wrong with a trip, each with its field.
func FaultyTrip(list []roster.Fault) Value {
	all := make([]Value, len(list))
	for i, f := range list {
		all[i] = Of(placed(f))
	}
	return List(all...)
}

func placed(f roster.Fault) Line {
	steps := strings.Split(strings.TrimPrefix(f.Path, "/"), "/")
	dive := 0
	if n, err := strconv.Atoi(steps[min(1, len(steps)-1)]); err == nil && steps[0] == "dives" {
		dive = n + 1
	}
	return AtField(dive, steps[len(steps)-1], Faulty(f))
}

// AtField is a fault with its field before it, by the name in the interface, and the dive
// that the field is of; 0 for none.
func AtField(dive int, field string, fault Line) Line {
	if key := FieldKey(field); key != "" {
		fault = At(Say(key, nil), fault)
	}
	if dive > 0 {
		fault = At(Say("desk.dive.n", Args{"dive": Count(dive)}), fault)
	}
	return fault
}

// At is a fault with its place before it.
func At(where, fault Line) Line { return Say("fault.at", Args{"where": Of(where), "fault": Of(fault)}) }
