package conversation

import (
	"strings"
	"testing"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

func TestAirAndMonoxideBadInput(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"/air", "/air 30 80"},
		{"/air 30", "/air 30 80"},
		{"/air 30 80 5", "/air 30 80"},
		{"/air 30 180", "/air 30 80"},
		{"/air 99 80", "/air 30 80"},
		{"/air NaN 80", "/air 30 80"},
		{"/air warm damp", "/air 30 80"},
		{"/co", "/co 17 2"},
		{"/co 17", "/co 17 2"},
		{"/co 17 -1", "/co 17 2"},
		{"/co 17 NaN", "/co 17 2"},
		{"/co 17 1e9", "/co 17 2"},
		{"/co 99 2", "17, 18"},
	} {
		d := newDesk(t)
		if got := d.types(c.typed); !strings.Contains(got, c.want) {
			t.Errorf("%s: got %q, want it to say %q", c.typed, got, c.want)
		}
		if acts := d.acts(); acts != nil {
			t.Errorf("%s: stored %v", c.typed, acts)
		}
	}
}

// TestAir: 30 °C and 80 % hold 20.25 % oxygen (gas law); an analyser that shows
// 20.9 there is off by more than 0.2.
func TestAir(t *testing.T) {
	d := newDesk(t)
	if got := d.types("/air 30 °C 80 %"); !strings.Contains(got, "20.2 % oxygen") ||
		strings.Contains(got, "calibrate it again") {
		t.Errorf("got %q", got)
	}
	d.change(func(trip *roster.Draft) { trip.SetAirPoint("A", 20.9, gas.Weather{}, inês, d.now) })
	if got := d.types("/air 30,5 80"); !strings.Contains(got, "Analyser A showed something else") {
		t.Errorf("got %q", got)
	}
	d.change(func(trip *roster.Draft) { trip.SetAirPoint("A", 20.3, gas.Weather{}, inês, d.now) })
	if got := d.types("/air 30 80"); strings.Contains(got, "something else") {
		t.Errorf("got %q", got)
	}
	d.acts()
	if d.types("/air off"); d.trip.Air.Known || len(d.acts()) != 1 {
		t.Errorf("still %+v", d.trip.Air)
	}
}

func TestMonoxideIsToldToTheDiver(t *testing.T) {
	for _, c := range []struct {
		typed, leader, diver string
		status               gas.Status
	}{
		{"/co 17 2", ": 2 ppm", "", gas.Go},
		{"/co 17 4 ppm", ": 4 ppm", "Ask whoever filled it", gas.Go},
		{"/co 17 6ppm", ": 6 ppm", "Don't breathe it", gas.NoGo},
	} {
		d := newDesk(t)
		d.change(func(trip *roster.Draft) {
			trip.EditDive(1).Bottom = gas.Depth{}
			trip.Record(trip.Labelled("17")[0].ID, roster.Reading{Percent: 32.1, By: "p2", At: d.now}, d.now)
		})
		if got := d.types(c.typed); !strings.Contains(got, c.leader) {
			t.Errorf("%s: the leader hears %q", c.typed, got)
		}
		said := ""
		for _, l := range d.last.Letters {
			if l.Person == "p2" {
				said += english(l.Message)
			}
		}
		if !strings.Contains(said, c.diver) || (c.diver == "") != !strings.Contains(said, "monoxide") {
			t.Errorf("%s: the diver hears %q", c.typed, said)
		}
		if got := d.trip.Clearance("p2", 1, d.now).Status; got != c.status {
			t.Errorf("%s: got %v, want %v", c.typed, got, c.status)
		}
	}
}

// TestEveryPolicyFieldCanBeSaid: whatever field of a policy differs, a board
// has words for it.
func TestEveryPolicyFieldCanBeSaid(t *testing.T) {
	p := gas.Policy{PPO2: 1.3, PPO2Max: 1.5, MaxO2: 36, Tolerance: 0.5, TellShop: 1.5, GF: 70, FreshFor: 12,
		BoatCheck: gas.BoatCheckAll, MaxCO: 3, OxygenCredit: true, Deepest: gas.M(30)}
	changed := p.Changed()
	if len(changed) != len(policyFields) {
		t.Errorf("%d fields differ, %d can be said", len(changed), len(policyFields))
	}
	for _, name := range changed {
		if policyFields[name].value == nil {
			t.Fatalf("%s can't be said", name)
		}
		if got := renderer.Line(policyLine(name, p), message.Reader{}); strings.Contains(got, "⟦") {
			t.Errorf("%s: %q", name, got)
		}
		was := gas.DefaultPolicy(gas.Metres)
		policyFields[name].take(p, &was)
		if got := was.Changed(); len(got) != 1 || got[0] != name {
			t.Errorf("%s: taking it changed %v", name, got)
		}
	}
}

// Whoever reads feet reads Fahrenheit, and a number that may be either is
// asked about.
func TestAirInFahrenheit(t *testing.T) {
	for _, c := range []struct {
		typed, units string
		want         float64
		ok           bool
	}{
		{"86F 80", "m", 30, true},
		{"86 °F 80 %", "m", 30, true},
		{"30 80", "m", 30, true},
		{"30C 80", "ft", 30, true},
		{"86 80", "ft", 30, true},
		{"40 80", "ft", 0, false},
		{"-5 80", "m", -5, true},
		{"٣٠ ٨٠", "m", 30, true},
		{"86FF 80", "ft", 0, false},
		{"86K 80", "ft", 0, false},
	} {
		d := newDesk(t)
		d.change(func(trip *roster.Draft) { trip.Edit(inês).Units = c.units })
		turn := &turn{trip: roster.Change(d.trip), actor: inês}
		w, ok := orders.ReadAir(c.typed, turn.fahrenheit())
		if ok != c.ok || ok && (w.Celsius < c.want-1e-9 || w.Celsius > c.want+1e-9) {
			t.Errorf("%q in %s: got %v, %v, want %v, %v", c.typed, c.units, w.Celsius, ok, c.want, c.ok)
		}
	}
}
