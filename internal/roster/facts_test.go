package roster_test

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// What differs of somebody who sits out, is outside or does not dive differs; what is
// the same value does not (product rules, "The signature").
func TestFactsOfEverybody(t *testing.T) {
	for _, c := range []struct {
		name   string
		before func(*roster.Draft)
		after  func(*roster.Draft)
		what   string
	}{
		{"a number of who sits out", sitsOut, func(d *roster.Draft) { read(d, "c6", 31.8, marit, at(60)) },
			roster.FactCylinders},
		{"another cylinder of who sits out", sitsOut, func(d *roster.Draft) { d.Swap("c6", "44", ines, "", at(60)) },
			roster.FactCylinders},
		{"the card of who sits out", sitsOut, func(d *roster.Draft) { d.SetCard(marit, gas.CardNone, marit, "", at(60)) },
			roster.FactCard},
		{"a limit of who is outside", isOutside,
			func(d *roster.Draft) { d.SetLimit(marit, roster.Limit{Minutes: 20, By: ines}, at(60)) }, roster.FactLimit},
		{"helium of who is outside", isOutside,
			func(d *roster.Draft) { d.MustSpeak(marit, roster.Speak{At: at(60), Was: "18/45"}) }, ""},
		{"crew who left", func(d *roster.Draft) { d.AddPerson(&roster.Person{ID: kofi, Crew: true}, "", at(40)) },
			func(d *roster.Draft) { d.Leave(kofi, kofi, "", at(60)) }, roster.FactLeft},
		{"no after nothing", nothing, func(d *roster.Draft) { d.SetDivedBefore(marit, "no", at(60)) }, ""},
		{"yes after nothing", nothing, func(d *roster.Draft) { d.SetDivedBefore(marit, "yes", at(60)) },
			roster.FactDivedBefore},
		{"100 ft after 30 m", func(d *roster.Draft) { d.SetDepthLimit(marit, gas.M(30), ines, "", at(40)) },
			func(d *roster.Draft) { d.SetDepthLimit(marit, gas.Ft(100), ines, "", at(60)) }, ""},
		{"18 m after 30 m", func(d *roster.Draft) { d.SetDepthLimit(marit, gas.M(30), ines, "", at(40)) },
			func(d *roster.Draft) { d.SetDepthLimit(marit, gas.M(18), marit, "", at(60)) }, roster.FactQualification},
		{"no decimals", nothing, func(d *roster.Draft) { d.Confirm(firstOf(d, "c6"), gas.ShownNoDecimal, marit, at(60)) },
			roster.FactCylinders},
		{"the surface interval", nothing, func(d *roster.Draft) {
			plan := d.Dives[0]
			plan.Interval = 15
			d.SetDive(1, plan, ines, "", at(60))
		}, roster.FactInterval},
		{"moved away by its diver", nothing, func(d *roster.Draft) { d.MoveCylinder("c6", 2, marit, at(60)) },
			roster.FactCylinders},
	} {
		t.Run(c.name, func(t *testing.T) {
			trip := ready()
			aboard(trip, 1, at(30))
			c.before(trip)
			was := trip.FactsOf(1, at(50))
			c.after(trip)
			now := trip.FactsOf(1, at(50))
			b := was.Differs(now)
			if got := what(b); got != c.what {
				t.Errorf("differs in %q, want %q: %+v", got, c.what, b)
			}
			if same := was.Short() == now.Short(); len(was.Short()) != 12 || same != (c.what == "") {
				t.Errorf("short form %q, then %q", was.Short(), now.Short())
			}
		})
	}
}

func nothing(*roster.Draft)     {}
func sitsOut(d *roster.Draft)   { d.SitOut(marit, 1, ines, "gear", at(40)) }
func isOutside(d *roster.Draft) { d.SetOutside(marit, 1, ines, "rebreather", at(40)) }

func what(b *roster.Broken) string {
	if b == nil {
		return ""
	}
	return b.What
}
