package conversation

import "slices"

// The commands in the order in which a channel's menu shows them: the leader's
// by the course of the day, then everybody's. A test holds the lists against
// the tables.
var (
	leaderMenu = []string{
		"board", "missing", "for", "site", "limit", "replanned", "cardseen", "boat", "kept", "refilled", "changed", "air", "co",
		"out", "back", "signoff", "reopen", "dived", "record", "revoke", "link", "unlink",
	}
	everybodysMenu = []string{
		"reading", "gas", "trip", "queue", "pass", "howto", "units", "language", "leave", "forget", "help",
	}
)

// Commands are the commands that a channel may offer a diver, or a leader, who
// dives too. The catalogue describes each under "menu.<command>".
func Commands(leader bool) []string {
	if leader {
		return slices.Concat(leaderMenu, everybodysMenu)
	}
	return slices.Clone(everybodysMenu)
}
