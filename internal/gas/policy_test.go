package gas

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestTheDefaultPolicyIsValid(t *testing.T) {
	p := DefaultPolicy(Metres)
	if err := p.Validate(); err != nil || !p.usable() || p.Changed() != nil {
		t.Errorf("got %v, usable %v, changed %v", err, p.usable(), p.Changed())
	}
}

func TestPolicyBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		set  func(*Policy)
		want []string // the faults' fields
	}{
		{"ppo2 1.0", func(p *Policy) { p.PPO2 = 1.0 }, nil},
		{"ppo2 0.99", func(p *Policy) { p.PPO2 = 0.99 }, []string{"ppo2"}},
		{"ppo2 1.5", func(p *Policy) { p.PPO2 = 1.5 }, []string{"ppo2"}},
		{"ppo2_max equal to ppo2", func(p *Policy) { p.PPO2Max = 1.4 }, nil},
		{"ppo2_max below ppo2", func(p *Policy) { p.PPO2Max = 1.3 }, []string{"ppo2_max"}},
		{"ppo2_max 1.61", func(p *Policy) { p.PPO2Max = 1.61 }, []string{"ppo2_max"}},
		{"max_o2 22", func(p *Policy) { p.MaxO2 = 22 }, nil},
		{"max_o2 21", func(p *Policy) { p.MaxO2 = 21 }, []string{"max_o2"}},
		{"max_o2 50", func(p *Policy) { p.MaxO2 = 50 }, []string{"max_o2"}},
		{"gf 30", func(p *Policy) { p.GF = 30 }, nil},
		{"gf 29", func(p *Policy) { p.GF = 29 }, []string{"gf"}},
		{"gf 101", func(p *Policy) { p.GF = 101 }, []string{"gf"}},
		{"tolerance 0.1", func(p *Policy) { p.Tolerance = 0.1 }, nil},
		{"tolerance 0", func(p *Policy) { p.Tolerance = 0 }, []string{"tolerance"}},
		{"tolerance 1.1", func(p *Policy) { p.Tolerance = 1.1 }, []string{"tolerance"}},
		{"tell_shop below tolerance", func(p *Policy) { p.TellShop = 0.5 }, []string{"tell_shop"}},
		{"tell_shop 3", func(p *Policy) { p.TellShop = 3 }, []string{"tell_shop"}},
		{"fresh_for_hours 48", func(p *Policy) { p.FreshFor = 48 }, []string{"fresh_for_hours"}},
		{"max_co 10", func(p *Policy) { p.MaxCO = 10 }, nil},
		{"max_co 11", func(p *Policy) { p.MaxCO = 11 }, []string{"max_co"}},
		{"max_co 0", func(p *Policy) { p.MaxCO = 0 }, []string{"max_co"}},
		{"just past every upper bound", func(p *Policy) {
			*p = Policy{PPO2: 1.401, PPO2Max: 1.601, MaxO2: 40.01, Tolerance: 1.01, TellShop: 2.01, GF: 95.1,
				FreshFor: 24.01, BoatCheck: BoatCheckAll, MaxCO: 10.01}
		}, []string{"ppo2", "ppo2_max", "max_o2", "tolerance", "tell_shop", "gf", "fresh_for_hours", "max_co"}},
		{"just short of every lower bound", func(p *Policy) {
			*p = Policy{PPO2: 0.999, PPO2Max: 0.998, MaxO2: 21.99, Tolerance: 0.099, TellShop: 0.098, GF: 29.9,
				FreshFor: 0.99, BoatCheck: BoatCheckAll, MaxCO: -0.01}
		}, []string{"ppo2", "ppo2_max", "max_o2", "tolerance", "tell_shop", "gf", "fresh_for_hours", "max_co"}},
		{"every upper bound", func(p *Policy) {
			*p = Policy{PPO2: 1.4, PPO2Max: 1.6, MaxO2: 40, Tolerance: 1, TellShop: 2, GF: 95, FreshFor: 24,
				BoatCheck: BoatCheckAll, MaxCO: 10}
		}, nil},
		{"every lower bound", func(p *Policy) {
			*p = Policy{PPO2: 1, PPO2Max: 1, MaxO2: 22, Tolerance: 0.1, TellShop: 0.1, GF: 30, FreshFor: 1,
				BoatCheck: BoatCheckUnattended, MaxCO: 0.001}
		}, nil},
		{"boat_check never", func(p *Policy) { p.BoatCheck = "never" }, []string{"boat_check"}},
		{"no numbers", func(p *Policy) { p.PPO2, p.GF = PPO2(math.NaN()), math.Inf(1) }, []string{"ppo2", "ppo2_max", "gf"}},
		{"nothing set", func(p *Policy) { *p = Policy{} },
			[]string{"ppo2", "max_o2", "tolerance", "gf", "fresh_for_hours", "max_co", "boat_check"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := DefaultPolicy(Metres)
			c.set(&p)
			var got []string
			for _, f := range p.Faults() {
				got = append(got, f.Field)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
			if err := p.Validate(); (err == nil) != (c.want == nil) || p.usable() != (c.want == nil) {
				t.Errorf("Validate: %v, usable: %v", err, p.usable())
			}
		})
	}
}

func TestAFaultNamesFieldValueAndRange(t *testing.T) {
	p := DefaultPolicy(Metres)
	p.PPO2, p.MaxCO, p.BoatCheck = 1.5, 12, "never"
	err := p.Validate()
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{
		"ppo2 is 1.5; accepted: from 1 to 1.4 atm",
		"max_co is 12; accepted: more than 0 to 10 ppm",
		`boat_check is "never"; accepted: "all" or "unattended"`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("got %q, want it to say %q", err, want)
		}
	}
}

func TestPolicyChanges(t *testing.T) {
	p := DefaultPolicy(Metres)
	p.PPO2, p.GF, p.BoatCheck, p.OxygenCredit = 1.3, 90, BoatCheckAll, true
	if diff := cmp.Diff([]string{"ppo2", "gf", "boat_check", "oxygen_credit"}, p.Changed()); diff != "" {
		t.Errorf("changed (-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]string{"gf", "oxygen_credit"}, p.LooserThan(DefaultPolicy(Metres))); diff != "" {
		t.Errorf("looser (-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]string{"ppo2", "boat_check"}, DefaultPolicy(Metres).LooserThan(p)); diff != "" {
		t.Errorf("looser the other way (-want +got)\n%s", diff)
	}
}
