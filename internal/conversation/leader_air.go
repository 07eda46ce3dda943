package conversation

import (
	"math"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The air: what the analysers are calibrated in, and carbon monoxide measured
// in a cylinder.

// setAir records the air at the dock: "/air 30 80" for 30 °C and 80 %, "/air
// off" to forget it.
func setAir(t *turn, args string) {
	if word := strings.ToLower(strings.TrimSpace(t.english(args))); word == "off" {
		t.trip.SetAir(gas.Weather{}, t.me().ID, t.now)
		t.say(message.Say("air.off", nil))
		return
	}
	w, ok := orders.ReadAir(args, t.fahrenheit())
	if !ok {
		t.say(message.Say("air.usage", message.Args{"example": message.Code("/air " + t.airExample()),
			"off": message.Code("/air off")}))
		return
	}
	t.trip.SetAir(w, t.me().ID, t.now)
	t.say(t.airLines(w)...)
}

// fahrenheit tells whether the acting person reads degrees Fahrenheit: whoever
// reads feet does.
func (t *turn) fahrenheit() bool {
	return t.me().Units == "ft" || t.me().Units == "" && t.trip.Units == gas.Feet
}

func (t *turn) airExample() string {
	if t.fahrenheit() {
		return "86F 80"
	}
	return "30 80"
}

// airFrom takes the air at the dock from whoever has a thermometer. What was
// entered before stands: a leader changes it with /air.
func (t *turn) airFrom(w gas.Weather) {
	if t.trip.Air.Known {
		return
	}
	t.trip.SetAir(w, t.me().ID, t.now)
	lines := t.airLines(w)
	t.say(lines...)
	said := message.Say("air.from", message.Args{"name": t.nameOf(t.me().ID), "command": message.Code("/air")})
	t.tellLeaders(message.Message{Lines: append([]message.Line{said}, lines...)})
}

// airLines say what that air means for the analysers.
func (t *turn) airLines(w gas.Weather) []message.Line {
	oxygen := w.Oxygen(t.altitude())
	lines := []message.Line{message.Say("air.set", message.Args{"celsius": message.Celsius(w.Celsius),
		"humidity": plainNumber(w.Humidity), "oxygen": message.Percent(tenth(oxygen))})}
	var off []message.Value
	for _, a := range t.trip.Analysers {
		if last := a.Last().Percent; last.Known() && t.airOff(last) {
			off = append(off, message.Name(a.Name))
			t.saidNews[airNewsOf(a.Name)] = true
		}
	}
	if len(off) > 0 {
		lines = append(lines, message.Loud("air.analysers-off",
			message.Args{"count": message.Count(len(off)), "analysers": message.List(off...)}))
	}
	return lines
}

func tenth(p gas.Percent) gas.Percent { return gas.Percent(math.Round(float64(p)*10) / 10) }

// altitude is that of the next dive: the dock is by the water.
func (t *turn) altitude() float64 {
	if d := t.trip.Dive(t.dive()); d != nil {
		return d.Altitude
	}
	return 0
}

// setCO records carbon monoxide measured in a cylinder: "/co 17 2".
func setCO(t *turn, args string) {
	label, ppm, ok := orders.ReadCO(args)
	if !ok {
		t.say(message.Say("co.usage", message.Args{"example": message.Code("/co 17 2"), "labels": t.labels()}))
		return
	}
	found := t.trip.Labelled(label)
	if len(found) == 0 {
		t.say(message.Say("refilled.unknown", message.Args{"typed": message.Name(label), "labels": t.labels()}))
		return
	}
	for _, c := range found {
		t.noteCO(c, ppm)
	}
}

// noteCO records it, and says what it means to the leader and, where no changed
// verdict will, to the diver.
func (t *turn) noteCO(c *roster.Cylinder, ppm float64) {
	was := t.clearanceOf(c).Status
	t.trip.SetCO(c.ID, ppm, t.sent(), t.me().ID, t.now)
	p, c := t.trip.Cylinder(c.ID)
	t.say(append([]message.Line{message.Say("co.done", message.Args{"cylinder": message.Of(cylinderName(c)),
		"name": t.nameOf(p.ID), "ppm": plainNumber(ppm)})}, t.verdictLines(c.Dive, p)...)...)
	cl := t.clearanceOf(c)
	f, ok := coFinding(cl, c.ID)
	if !ok || f.Severity == gas.Pass || cl.Status != was {
		return
	}
	text, do := message.Finding(f)
	do.Style = message.Strong
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{
		message.Loud("co.told", message.Args{"cylinder": message.Of(cylinderName(c))}), do, text}})
}
