package gas

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func inTeam(o2 Percent, set Depth) *Verdict {
	p, d := plain()
	d.Cylinders[0].Readings, d.Cylinders[0].Asked, d.SetDepth = []Reading{read(o2)}, 0, set
	v := Assess(p, d, start)
	return &v
}

// TestTheTeamsDepthIsTheShallowest is the teams' rule of university
// scientific-diving manuals, in common use.
func TestTheTeamsDepthIsTheShallowest(t *testing.T) {
	// MODs rounded down: 28 40 m, 34 31 m, 32 33 m; planned 30 m.
	vs := []*Verdict{inTeam(28, Depth{}), inTeam(34, Depth{}), inTeam(32, Depth{})}
	got := ApplyTeam(1, vs)
	if got.MaxDepth != M(31) || got.DepthBy != 1 {
		t.Errorf("got %v by %d, want 31 m by 1", got.MaxDepth, got.DepthBy)
	}
	for i, v := range vs {
		if f := findingOf(t, *v, RuleTeam); f.Case != teamOwn.Case || v.Status() != Go {
			t.Errorf("diver %d: got %s, %v; a MOD below the plan limits nobody", i, f.Case, v.Status())
		}
	}
}

func TestALimitOfOneHoldsTheTeam(t *testing.T) {
	vs := []*Verdict{inTeam(28, Depth{}), inTeam(36, M(28)), inTeam(32, Depth{})}
	got := ApplyTeam(1, vs)
	if got.MaxDepth != M(28) || got.DepthBy != 1 {
		t.Errorf("got %v by %d, want 28 m by 1", got.MaxDepth, got.DepthBy)
	}
	for i, want := range []Outcome{teamDepth, teamOwn, teamDepth} {
		f := findingOf(t, *vs[i], RuleTeam)
		if f.Case != want.Case || f.Severity != want.Severity || f.Cylinder != "c1" {
			t.Errorf("diver %d: got %+v, want %s", i, f, want.Case)
		}
		if vs[i].Numbers[0].MaxDepth != M(28) || vs[i].Status() != GoWithLimits {
			t.Errorf("diver %d: got %v, %v; want 28 m, limits", i, vs[i].Numbers[0].MaxDepth, vs[i].Status())
		}
	}
}

func TestWhoIsNotGoingHoldsNobody(t *testing.T) {
	vs := []*Verdict{inTeam(36, Depth{}), inTeam(32, Depth{}), inTeam(0, Depth{})}
	got := ApplyTeam(1, vs)
	// 24 min is the no-stop time of 32 % at 30 m, GF 85; see TestNoStopTime.
	if diff := cmp.Diff(TeamLimits{Dive: 1, MaxDepth: M(33), DepthBy: 1, MaxMinutes: 24, TimeBy: 1}, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if vs[1].Status() != Go {
		t.Errorf("got %v, want go", vs[1].Status())
	}
	if f := findingOf(t, *vs[2], RuleTeam); f.Case != teamNone.Case {
		t.Errorf("without a reading: got %s", f.Case)
	}
}

func TestTheTeamsTimeNeedNotBeOfTheSameDiver(t *testing.T) {
	rich, lean := inTeam(28, Depth{}), inTeam(32, M(28))
	rich.Numbers[0].MaxMinutes = 20
	vs := []*Verdict{rich, lean}
	got := ApplyTeam(1, vs)
	if got.MaxMinutes != 20 || got.TimeBy != 0 || got.MaxDepth != M(28) || got.DepthBy != 1 {
		t.Errorf("got %+v", got)
	}
	if f := findingOf(t, *vs[1], RuleTeam); f.Case != teamTime.Case || f.MaxMinutes != 20 {
		t.Errorf("got %+v, want the time of the other", f)
	}
	if f := findingOf(t, *vs[0], RuleTeam); f.Case != teamDepth.Case || f.MaxDepth != M(28) {
		t.Errorf("got %+v, want the depth of the other", f)
	}
}

func TestOneCanHoldTheTeamInBoth(t *testing.T) {
	held := inTeam(32, M(25))
	held.Numbers[0].MaxMinutes = 20
	vs := []*Verdict{held, inTeam(32, Depth{})}
	ApplyTeam(1, vs)
	if f := findingOf(t, *vs[1], RuleTeam); f.Case != teamBoth.Case || f.MaxMinutes != 20 || f.MaxDepth != M(25) {
		t.Errorf("got %+v, want both", f)
	}
}

func TestAnEmptyTeam(t *testing.T) {
	if got := ApplyTeam(1, nil); got.DepthBy != -1 || got.TimeBy != -1 || got.MaxDepth.Known() {
		t.Errorf("got %+v, want nothing", got)
	}
}
