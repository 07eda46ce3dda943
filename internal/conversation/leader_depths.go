package conversation

import (
	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// A bare number is a depth in the unit that its writer reads, and is said back in it:
// who is shown metres means metres, also on a trip in feet.

// reads is the unit of depth that the acting person reads.
func (t *turn) reads() gas.Unit {
	switch t.me().Units {
	case gas.Metres.String():
		return gas.Metres
	case gas.Feet.String():
		return gas.Feet
	}
	return t.trip.Units
}

// inReads is one of two examples, by the unit that the acting person reads.
func (t *turn) inReads(metres, feet string) message.Value {
	return orders.Example(t.reads(), metres, feet)
}

// planned is a depth that was typed in any unit as a plan in the trip's,
// rounded to the deeper side.
func (t *turn) planned(d gas.Depth) gas.Depth { return d.PlannedIn(t.trip.Units) }

// asLimit is a depth that was typed in any unit as a limit in the trip's,
// rounded to the shallower side.
func (t *turn) asLimit(d gas.Depth) gas.Depth {
	if d.Unit == t.trip.Units {
		return d
	}
	return d.LimitIn(t.trip.Units)
}

// reasonLine is a reason as a value: what somebody typed, or that none was
// given.
func reasonLine(reason string) message.Line {
	if reason == "" {
		return message.Say("reason.none", nil)
	}
	return message.Say("reason", message.Args{"text": message.Text(reason)})
}
