package conversation

import "gasmuster/internal/message"

// leaderHelp are the leader's commands in the order of the day, a line each.
var leaderHelp = []string{
	"board", "missing", "for", "site", "limit", "replanned", "cardseen", "boat", "kept", "refilled", "changed", "air", "co",
	"out", "back", "signoff", "reopen", "dived", "record", "queue", "revoke", "link",
}

// leaderHelpLines are what /help says to leaders besides what everybody can do.
func leaderHelpLines() []message.Line {
	lines := []message.Line{gap(), message.Loud("leader.help", nil)}
	for _, c := range leaderHelp {
		lines = append(lines, message.Say("leader.help."+c, message.Args{"command": message.Code("/" + c)}))
	}
	return lines
}
