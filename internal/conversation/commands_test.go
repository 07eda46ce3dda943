package conversation

import (
	"maps"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Whatever can be typed is offered, to those who may type it, and nothing
// else. "/start" is what the channel's own button sends.
func TestMenusHoldEveryCommand(t *testing.T) {
	for _, leader := range []bool{false, true} {
		var want []string
		for _, name := range slices.Sorted(maps.Keys(commands)) {
			if name != "start" && (leader || !commands[name].leader) {
				want = append(want, name)
			}
		}
		if got := slices.Sorted(slices.Values(Commands(leader))); !cmp.Equal(got, want) {
			t.Errorf("leader %v:\n%s", leader, cmp.Diff(want, got))
		}
	}
}
