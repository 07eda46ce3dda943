package message

import "gasmuster/internal/gas"

// PlannedIn is a planned depth as readers of unit u are shown it. In its own
// unit it is as given. A whole one is converted as a limit is, one way for both,
// so that a plan that is just the max is shown as the max: 30 m is 98 ft. Any
// other goes to the deeper side, but not beyond the next whole one.
func PlannedIn(d gas.Depth, u gas.Unit) gas.Depth {
	if d.Unit == u {
		return d
	}
	most := limitIn(d.Ceil(), u)
	if deeper := d.PlannedIn(u); most.DeeperThan(deeper) {
		return deeper
	}
	return most
}

// limitIn is a depth not to pass as readers of unit u are shown it: to the shallower
// side, and not beyond what the trade calls the same depth. Who is certified to 130 ft
// never reads 131.
func limitIn(d gas.Depth, u gas.Unit) gas.Depth {
	is, named := d.LimitIn(u), d.Floor().NamedIn(u)
	if is.DeeperThan(named) {
		return named
	}
	return is
}

// unitFor is the unit in which a reader is shown a depth that was given in u.
func (to Reader) unitFor(u gas.Unit) gas.Unit {
	switch to.Units {
	case "m":
		return gas.Metres
	case "ft":
		return gas.Feet
	}
	return u
}

func (w writer) depth(v Value) string {
	d := gas.Depth{Value: v.N, Unit: v.U}
	switch unit := w.to.unitFor(v.U); v.Kind {
	case KindLimit:
		d = limitIn(d, unit)
		if plan := v.rare().Plan; plan > 0 && unit != v.U {
			d.Value = min(d.Value, PlannedIn(gas.Depth{Value: plan, Unit: v.U}, unit).Value-1)
		}
	case KindBottom:
		d = d.PlannedIn(unit)
	default:
		d = PlannedIn(d, unit)
	}
	return w.word("unit.depth."+d.Unit.String(), "n", w.decimal(d.Value, 0, 2))
}
