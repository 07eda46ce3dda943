package conversation

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

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
	crewMenu = []string{"board", "for", "cylinder", "cardseen", "kept", "refilled", "changed", "co", "muster",
		"letin", "add"}
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

// leaderHelp are the leader's commands in the order of the day, a line each;
// crewHelp those of them that the crew has too.
var (
	leaderHelp = []string{
		"board", "missing", "for", "witness", "site", "limit", "replanned", "cardseen", "boat", "kept", "refilled",
		"changed", "cylinder", "series", "air", "co",
		"out", "back", "outside", "inside", "signoff", "reopen", "dived", "record", "muster", "queue", "revoke", "letin",
		"add", "crew", "lead", "postpone", "drop", "calloff", "link",
	}
	crewHelp = []string{"board", "for", "cardseen", "kept", "refilled", "changed", "cylinder", "co", "muster", "letin",
		"add", "queue"}
)

// leaderHelpLines are what /help says to leaders and crew besides what everybody
// can do.
func leaderHelpLines(p *roster.Person) []message.Line {
	head, help := "leader.help", leaderHelp
	switch {
	case p.Crew && !p.Leader:
		head, help = "crew.help", crewHelp
	case !p.Leader:
		return nil
	}
	lines := []message.Line{gap(), message.Loud(head, nil)}
	for _, c := range help {
		lines = append(lines, message.Say("leader.help."+c, message.Args{"command": message.Code("/" + c)}))
	}
	return lines
}
