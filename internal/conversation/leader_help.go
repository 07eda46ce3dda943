package conversation

import (
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// leaderHelp are the leader's commands in the order of the day, a line each;
// crewHelp those of them that the crew has too.
var (
	leaderHelp = []string{
		"board", "missing", "for", "witness", "site", "limit", "replanned", "cardseen", "boat", "kept", "refilled",
		"changed", "cylinder", "series", "air", "co",
		"out", "back", "outside", "inside", "signoff", "reopen", "dived", "record", "muster", "queue", "revoke", "letin",
		"add", "crew", "lead", "postpone", "drop", "calloff", "link",
	}
	crewHelp = []string{"board", "for", "cardseen", "kept", "refilled", "changed", "cylinder", "letin", "add", "queue"}
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
