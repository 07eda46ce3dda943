package conversation

import (
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Group chats. A linked group hears how many are ready and who still has to
// report, and nothing else about anyone; everything that people type there is
// answered with a pointer to their own chat.

// groupText answers what was typed in a group chat.
func (t *turn) groupText() {
	name, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(t.event.Text)), " ")
	name, _, _ = strings.Cut(name, "@")
	linked := t.trip.GroupChat == t.event.Address
	switch {
	case name == "/link" && t.me().Leader:
		t.link()
	case name == "/unlink" && t.me().Leader && linked:
		t.unlink()
	case (name == "/board" || name == "/missing") && linked:
		t.tellGroup(t.groupBoard())
	case linked:
		t.tellGroup(message.Message{Lines: []message.Line{message.Say("group.private", nil)}})
	case name == "/link" || name == "/unlink":
		t.say(message.Say("group.leaders-only", nil))
	default:
		t.say(message.Say("group.not-linked", message.Args{"command": message.Code("/link")}))
	}
}

// tellGroup writes to the linked group.
func (t *turn) tellGroup(m message.Message) {
	t.letters = append(t.letters, Letter{Group: true, Message: m, Level: roster.LevelAnswer})
}

// link makes the group chat the trip's.
func (t *turn) link() {
	if t.trip.GroupChat == t.event.Address {
		t.tellGroup(message.Message{Lines: []message.Line{message.Say("group.already", nil)}})
		return
	}
	t.linkGroup(t.event.Address)
	t.trip.Note(roster.Act{At: t.now, By: t.me().ID, Verb: "link"})
	t.tellGroup(message.Message{Lines: []message.Line{message.Say("group.linked", message.Args{
		"trip": message.Name(t.trip.Name), "board": message.Code("/board"), "end": message.Code("/unlink")}),
		message.Say("group.private", nil)}})
}

// unlink lets the group go; the confirmation can't go there any more.
// linkGroup notes which group chat is linked, if any.
func (t *turn) linkGroup(a roster.Address) {
	if t.trip.GroupChat != a {
		t.trip.EditCourse().GroupChat = a
	}
}

func (t *turn) unlink() {
	t.linkGroup(roster.Address{})
	t.trip.Note(roster.Act{At: t.now, By: t.me().ID, Verb: "unlink"})
	t.say(message.Say("group.unlinked", nil))
}

// linkPrivately and unlinkPrivately are the commands typed in the private chat.
func linkPrivately(t *turn, _ string) {
	if t.trip.GroupChat != (roster.Address{}) {
		t.say(message.Say("group.is-linked", message.Args{"command": message.Code("/unlink")}))
		return
	}
	t.say(message.Say("group.how", message.Args{"command": message.Code("/link")}))
}

func unlinkPrivately(t *turn, _ string) {
	if t.trip.GroupChat == (roster.Address{}) {
		t.say(message.Say("group.none", nil))
		return
	}
	t.unlink()
}

// groupBoard is all that a group may know: how many of how many have
// reported, and the names of those who have not.
func (t *turn) groupBoard() message.Message {
	b := t.board(t.dive())
	owing := t.reporting(&b)
	a := message.Args{"count": message.Count(b.Counts.Active - len(owing)), "of": message.Count(b.Counts.Active),
		"trip": message.Name(t.trip.Name)}
	if t.trip.DefaultDive(t.now) == 0 {
		return message.Message{Lines: []message.Line{message.Say("group.over", a)}}
	}
	lines := []message.Line{message.Loud("group.count", a)}
	if len(owing) > 0 {
		lines = append(lines, message.Say("group.missing",
			message.Args{"count": message.Count(len(owing)), "names": t.names(owing)}))
	}
	return message.Message{Lines: lines}
}

// reporting are those who still have to report something: a number or an
// answer. Why, and how anybody stands, is nobody else's business.
func (t *turn) reporting(b *roster.Board) []*roster.Person {
	var found []*roster.Person
	for _, p := range t.owing(b) {
		for _, o := range b.Of(p.ID).Owes {
			if o.Reminds() {
				found = append(found, p)
				break
			}
		}
	}
	return found
}
