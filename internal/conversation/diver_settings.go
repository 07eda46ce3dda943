package conversation

import (
	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
)

// Units follow the person to other trips.

// stateUnits waits for a unit.
const stateUnits State = "diver.units"

func changeUnits(t *turn, args string) {
	if args != "" {
		t.unitsAre(orders.Unit(t.english(args)))
		return
	}
	t.ask(stateUnits, nil, message.Message{
		Lines: []message.Line{message.Loud("diver.units.ask", nil)},
		Buttons: [][]message.Button{{
			{Label: message.Say("diver.units.m", nil), Do: "units m"},
			{Label: message.Say("diver.units.ft", nil), Do: "units ft"},
		}}})
}

func unitsPressed(t *turn, args []string) { t.unitsAre(orders.Unit(argument(args, 0))) }

func (t *turn) unitsAre(unit string) {
	t.done()
	if unit == "" {
		t.say(message.Say("diver.units.wrong", nil))
		return
	}
	t.preferUnits = unit
	if t.me().Units != unit {
		t.trip.Edit(t.actor).Units = unit
	}
	key := "diver.units.set." + unit
	if unit != t.trip.Units.String() {
		key += ".converted"
	}
	t.say(message.Say(key, nil))
}

func unitsTyped(t *turn, text string) {
	if unit := orders.Unit(t.english(text)); unit != "" {
		t.unitsAre(unit)
		return
	}
	t.freely(text)
}
