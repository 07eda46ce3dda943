package sim

import (
	"os"
	"strconv"
	"testing"
)

// setting is a number from the environment, which "make sim" gives.
func setting(t *testing.T, name string, otherwise int) int {
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s is %q, want a number", name, text)
	}
	return n
}

// Product and judge agree on every clearance, board and signature of days that nobody wrote, after everything
// that is said. SIM_DAYS, SIM_SEED and SIM_EVENTS play others.
func TestProductAndJudgeAgree(t *testing.T) {
	r := Run(uint64(setting(t, "SIM_SEED", 1)), setting(t, "SIM_DAYS", 250), setting(t, "SIM_EVENTS", 80),
		os.Getenv("SIM_BRIEF") != "")
	for _, f := range r.Failures {
		t.Errorf("seed %d (%d days like it), %s:\n%s%v", f.Day.Seed, f.Days, f.Wrong.kind(), Tell(f.Day), f.Wrong)
		keepIn(t, os.Getenv("SIM_KEEP"), f)
	}
	for _, w := range r.Which {
		t.Log("day ", w)
	}
	t.Logf("%d days, %d events, %d days with a disagreement, %.1f days and %.0f events a second and core",
		r.Days, r.Events, r.Disagreed, r.perSecond(r.Days), r.perSecond(r.Events))
}
