package roster

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
)

// What a shop puts right of a trip that was typed wrong.

// SetZone changes the time zone that the trip's times are shown in. The instants
// stay.
func (d *Draft) SetZone(zone string, by PersonID, now time.Time) {
	if zone == d.Zone {
		return
	}
	d.act(now, by, VerbZone, "", "", "was", d.Zone, "now", zone)
	d.EditPlan().Zone = zone
}

// SetUnits changes what the numbers of depths were meant in: 30 m become 30 ft.
// The deepest plan stays the default where it was. It returns false once anything
// was read: from then on the numbers were acted on.
func (d *Draft) SetUnits(u gas.Unit, by PersonID, now time.Time) bool {
	if u == d.Units {
		return true
	}
	if d.read() {
		return false
	}
	d.act(now, by, VerbUnits, "", "", "was", d.Units.String(), "now", u.String())
	plan := d.EditPlan()
	if was := gas.DefaultPolicy(plan.Units).Deepest; plan.Policy.Deepest == was {
		plan.Policy.Deepest = gas.DefaultPolicy(u).Deepest
	}
	plan.Units, plan.Policy.Deepest.Unit = u, u
	for i := range plan.Dives {
		plan.Dives[i].Depth.Unit, plan.Dives[i].Bottom.Unit = u, u
	}
	for _, p := range d.People {
		if p.DepthLimit.Known() && p.DepthLimit.Unit != u {
			d.Edit(p.ID).DepthLimit.Unit = u
		}
	}
	return true
}

// SetAnalysers changes which analysers the boat has. One that stays keeps its air
// points; readings keep the name of one that goes.
func (d *Draft) SetAnalysers(names []string, by PersonID, now time.Time) {
	was := make([]string, len(d.Analysers))
	for i, a := range d.Analysers {
		was[i] = a.Name
	}
	if slices.Equal(was, names) {
		return
	}
	d.act(now, by, VerbAnalysers, "", "", "was", strings.Join(was, " "), "now", strings.Join(names, " "))
	var list []Analyser
	for _, name := range names {
		one := Analyser{Name: name}
		if have := d.Analyser(name); have != nil {
			one = *have
			one.Name = name
		}
		list = append(list, one)
	}
	d.EditPlan().Analysers = list
}
