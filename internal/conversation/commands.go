package conversation

import "slices"

// The commands in the order in which a channel's menu shows them: the leader's
// by the course of the day, then everybody's. A test holds the lists against
// the tables.
var (
	leaderMenu = []string{
		"board", "missing", "for", "witness", "site", "limit", "replanned", "cardseen", "boat", "kept", "refilled",
		"changed", "cylinder", "series", "air", "co",
		"out", "back", "outside", "inside", "signoff", "reopen", "record", "revoke", "muster", "letin", "add", "crew",
		"lead", "postpone", "drop", "calloff",
		"link", "unlink",
	}
	crewMenu = []string{"board", "for", "cylinder", "cardseen", "kept", "refilled", "changed", "muster", "letin",
		"add"}
	everybodysMenu = []string{
		"reading", "gas", "trip", "dived", "queue", "pass", "howto", "units", "language", "takeover", "leave", "forget",
		"help",
	}
)

// Commands are the commands that a channel may offer somebody by their role: a
// leader, "crew" or a diver. Leaders and crew dive too. The catalogue describes each
// under "menu.<command>".
func Commands(role string) []string {
	switch role {
	case "leader":
		return slices.Concat(leaderMenu, everybodysMenu)
	case "crew":
		return slices.Concat(crewMenu, everybodysMenu)
	}
	return slices.Clone(everybodysMenu)
}
