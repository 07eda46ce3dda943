package conversation

import (
	"maps"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// Whatever can be typed is offered, to those who may type it, and nothing
// else. "/start" is what the channel's own button sends.
func TestMenusHoldEveryCommand(t *testing.T) {
	for _, role := range []string{"diver", "crew", "leader"} {
		p := &roster.Person{Leader: role == "leader", Crew: role == "crew"}
		var want []string
		for _, name := range slices.Sorted(maps.Keys(commands)) {
			if name != "start" && may(p, commands[name].leader, commands[name].crew) {
				want = append(want, name)
			}
		}
		if got := slices.Sorted(slices.Values(Commands(role))); !cmp.Equal(got, want) {
			t.Errorf("%s:\n%s", role, cmp.Diff(want, got))
		}
	}
}

// What leaders and crew have in their menus /help explains, but "unlink": a group that
// is linked is told of it.
func TestHelpNamesEveryCommandOfTheMenu(t *testing.T) {
	for role, c := range map[string]struct{ menu, help []string }{
		"leader": {leaderMenu, leaderHelp}, "crew": {crewMenu, crewHelp},
	} {
		for _, name := range c.menu {
			if name != "unlink" && !slices.Contains(c.help, name) {
				t.Errorf("%s: /help does not name /%s", role, name)
			}
		}
		for _, name := range c.help {
			if _, ok := commands[name]; !ok {
				t.Errorf("%s: /help names /%s, which is none", role, name)
			}
		}
	}
}
