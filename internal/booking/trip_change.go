package booking

import (
	"fmt"
	"slices"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// planJSON is the part of a trip that a shop may change.
type planJSON struct {
	Name      string     `json:"name"`
	Zone      string     `json:"time_zone"`
	Units     gas.Unit   `json:"units"`
	Departs   time.Time  `json:"departs_at"`
	Ready     time.Time  `json:"cylinders_ready_at,omitzero"`
	First     float64    `json:"first_dive_after"`
	Dives     []DivePlan `json:"dives"`
	Analysers []string   `json:"analysers"`
	Policy    *Policy    `json:"policy,omitempty"`
}

// Changeable names the fields of a trip that a merge patch may have.
var Changeable = []string{"name", "time_zone", "units", "departs_at", "cylinders_ready_at", "first_dive_after",
	"dives", "analysers", "policy"}

func planOf(t *roster.Trip) planJSON {
	policy := PolicyOf(t.Policy, t.Units)
	out := planJSON{Name: t.Name, Zone: t.Zone, Units: t.Units, Departs: t.Departs, Ready: t.CylindersReady,
		First: t.FirstDiveAfter,
		Dives: divesOut(t.Dives), Analysers: []string{}, Policy: &policy}
	for _, a := range t.Analysers {
		out.Analysers = append(out.Analysers, a.Name)
	}
	return out
}

// ReadTripChange reads a merge patch of a trip: the trip as it would be, of which
// it keeps what differs.
func ReadTripChange(t *roster.Trip, patch map[string]any, base *gas.Policy, now time.Time,
	f *Faults) conversation.Change {
	o := ObjectAt("", merge(document(planOf(t), f), patch), f)
	after, plan := *t, *t.Plan // shares what a patch can't change
	after.Plan = &plan
	var change conversation.Change
	given := func(name string) bool { _, ok := patch[name]; return ok }
	if after.Name = o.NeedText("name"); after.Name != t.Name {
		change.Name = &after.Name
	}
	if after.Zone = o.NeedText("time_zone"); after.Zone != t.Zone {
		change.Zone = &after.Zone
	}
	if after.Units = readUnits(o); after.Units != t.Units {
		changeUnits(t, o, base, &after, &change)
	}
	if given("departs_at") {
		if after.Departs = readDeparture(o, now); !after.Departs.Equal(t.Departs) {
			change.Departs = &after.Departs
		}
	}
	readReadyChange(t, &after, o, patch, &change)
	if after.FirstDiveAfter, _ = o.number("first_dive_after"); after.FirstDiveAfter != t.FirstDiveAfter {
		change.FirstDiveAfter = &after.FirstDiveAfter
	}
	if given("dives") {
		after.Dives = readDives(o, after.Units)
		change.Dives = changedDives(t, after.Dives, f)
	}
	if after.Policy = readPolicy(o, base.In(after.Units)); after.Policy != t.Policy {
		change.Policy = &after.Policy // what it loosens after the first reading waits for a leader
	}
	if given("analysers") {
		changeAnalysers(o, &after, &change)
	}
	f.judge(after.Validate(), "")
	return change
}

// changeUnits says what the numbers of a trip were meant in. Nothing is
// converted; the deepest plan stays what new trips begin with where it was.
func changeUnits(t *roster.Trip, o *Object, base *gas.Policy, after *roster.Trip, change *conversation.Change) {
	if HasReadings(t) {
		o.Wrong("units", message.Say("fault.units.read", nil))
		after.Units = t.Units
		return
	}
	change.Units = &after.Units
	after.Dives = slices.Clone(t.Dives)
	for i := range after.Dives {
		after.Dives[i].Depth.Unit, after.Dives[i].Bottom.Unit = after.Units, after.Units
	}
	after.People = nil
	for _, p := range t.People {
		one := *p
		one.DepthLimit.Unit = after.Units
		after.People = append(after.People, &one)
	}
	policy, _ := o.Fields["policy"].(map[string]any)
	if t.Policy.Deepest == base.In(t.Units).Deepest && Plain(t.Policy.Deepest.Value) == fmt.Sprint(policy["deepest"]) {
		delete(policy, "deepest")
	}
}

func changeAnalysers(o *Object, after *roster.Trip, change *conversation.Change) {
	was, names := after.Analysers, []string{}
	after.Analysers = nil
	for i, v := range o.list("analysers") {
		name := readElement(element("/analysers", i), v, o.faults)
		names = append(names, name)
		after.Analysers = append(after.Analysers, roster.Analyser{Name: name})
	}
	if !slices.EqualFunc(was, names, func(a roster.Analyser, name string) bool { return a.Name == name }) {
		change.Analysers = &names
	}
}

// readReadyChange reads when the cylinders can be analysed. Where only the
// departure moves, that moves along.
func readReadyChange(t *roster.Trip, after *roster.Trip, o *Object, patch map[string]any, change *conversation.Change) {
	if _, given := patch["cylinders_ready_at"]; !given {
		if !t.CylindersReady.IsZero() {
			after.CylindersReady = t.CylindersReady.Add(after.Departs.Sub(t.Departs))
		}
		return
	}
	if after.CylindersReady = readReady(o); !after.CylindersReady.Equal(t.CylindersReady) {
		change.CylindersReady = &after.CylindersReady
	}
}

// HasReadings tells whether anything was read on the trip.
func HasReadings(t *roster.Trip) bool {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if len(c.Readings) > 0 {
				return true
			}
		}
	}
	return false
}

// changedDives is nil when nothing differs. A dive that cylinders are booked
// for can't be dropped.
func changedDives(t *roster.Trip, dives []roster.Dive, f *Faults) []roster.Dive {
	differs := len(dives) != len(t.Dives)
	for i := range dives {
		if i < len(t.Dives) {
			differs = differs || !sameDive(dives[i], t.Dives[i])
		}
	}
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if c.Dive > len(dives) {
				f.Wrong("/dives", message.Say("fault.dives.cylinder", message.Args{"name": message.Name(p.Name),
					"dive": message.Count(c.Dive)}))
			}
		}
	}
	if !differs {
		return nil
	}
	return dives
}

// sameDive compares the plans.
func sameDive(a, b roster.Dive) bool {
	return a.Site == b.Site && a.Depth == b.Depth && a.Bottom == b.Bottom && a.Bottomless == b.Bottomless &&
		a.Minutes == b.Minutes && a.Water == b.Water && a.Altitude == b.Altitude && a.Interval == b.Interval
}
