package conversation

import (
	"strings"

	"gasmuster/internal/message"
)

// looking are the commands and buttons that note nothing, and forgetting, which
// nobody is kept from.
var looking = map[string]bool{"gas": true, "trip": true, "howto": true, "help": true, "board": true, "record": true,
	"forget": true, "start": true}

// full refuses what would change the trip, of somebody who has noted all that
// one person may: a slip of a script must not make a trip too large to be
// loaded for everybody else.
func (t *turn) full() bool {
	if !t.me().Full() || !t.changing() {
		return false
	}
	t.say(message.Loud("door.enough", message.Args{"count": message.Count(t.me().Noted)}))
	return true
}

// changing tells events that may change the trip from looks at it.
func (t *turn) changing() bool {
	text := strings.TrimSpace(t.event.Text)
	command, isCommand := strings.CutPrefix(text, "/")
	switch t.event.Kind {
	case Text, GroupText:
		if !isCommand {
			return t.event.Kind == Text
		}
		name, _, _ := strings.Cut(command, " ")
		name, _, _ = strings.Cut(strings.ToLower(name), "@")
		return !looking[name]
	case Button:
		verb, _, _ := strings.Cut(t.event.Do, " ")
		return !looking[verb]
	case Edited:
		return true
	case Join:
		return !t.me().Joined.IsZero()
	}
	return false
}
