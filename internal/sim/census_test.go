package sim

import (
	"fmt"
	"testing"

	"gasmuster/internal/sim/judge"
)

// census counts what happens on many days.
type census map[string]int

func (c census) look(v judge.Verdicts) {
	for _, d := range v.Dives {
		for _, p := range d.Divers {
			c["status "+p.Status.String()]++
			for r, s := range p.Rules {
				c[fmt.Sprint(r, " ", s)]++
			}
		}
		if d.Dived {
			c["dived"]++
		}
		if len(d.Refused) == 0 {
			c["may be signed"]++
		}
	}
	for _, s := range v.Signatures {
		c["signature "+string(s.State)]++
	}
}

// A day on which nothing is cleared, broken or told tells nothing of the rules that do it.
func TestDaysAreWorthPlaying(t *testing.T) {
	c := census{}
	for seed := range uint64(600) {
		d := direct(seed)
		p := &play{day: judge.Open(d.booked)}
		p.see = p.day.At(d.now)
		for range 80 {
			said := d.next(p.see)
			c["says "+string(said[0].Kind)]++
			p.day.Hear(said...)
			p.see = p.day.At(said[0].At)
			c.look(p.see)
		}
	}
	for _, must := range musts {
		if c[must] == 0 {
			t.Errorf("no %q on 600 days", must)
		}
	}
	for _, often := range []string{"status go", "status limits", "status no-go", "status not-cleared",
		"signature standing", "signature broken"} {
		if c[often] < 2000 {
			t.Errorf("%q %d times on 600 days, want more", often, c[often])
		}
	}
	t.Log(c)
}

var musts = []string{
	"dived", "may be signed", "signature lapsed", "signature withdrawn", "status out", "status outside",
	"air-is-not-air note", "air-is-not-air not-cleared", "air-point note", "air-point not-cleared", "asked limits",
	"asked note", "bottom limits",
	"carbon-monoxide no-go", "carbon-monoxide note", "card no-go", "card not-cleared", "contingency limits",
	"contingency no-go",
	"deepest no-go", "depth limits", "depth no-go", "depth-limit limits", "depth-limit no-go", "dived-before limits",
	"humid-air limits", "humid-air note", "improved no-go", "improved not-cleared", "leaders-limit limits", "lean limits",
	"left not-cleared", "measured not-cleared", "no-cylinder not-cleared", "no-reading not-cleared", "no-stop limits",
	"no-stop no-go",
	"out-of-range no-go", "oxygen-clock limits", "oxygen-clock no-go", "question not-cleared", "repeat limits",
	"repeat not-cleared",
	"repeat note", "same-cylinder not-cleared", "speak not-cleared", "stale not-cleared", "team limits",
	"thin-margin note",
}
