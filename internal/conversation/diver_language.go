package conversation

import (
	"gasmuster/internal/message"
)

// The language that a person is written to in. It comes from the shop's
// booking or from the phone, is changed here, and follows the person to other
// trips.

// stateLanguage waits for the name of a language.
const stateLanguage State = "diver.language"

func changeLanguage(t *turn, args string) {
	if args != "" {
		t.languageIs(message.LanguageNamed(args), args)
		return
	}
	t.askLanguage(message.Loud("language.ask", nil))
}

// askLanguage offers each language by the name that its speakers give it: the
// person may not be able to read this one.
func (t *turn) askLanguage(line message.Line) {
	m := message.Message{Lines: []message.Line{line}}
	for i, tag := range message.Languages() {
		b := message.Button{Label: message.Say("language.name", message.Args{"language": message.OwnName(tag)}),
			Do: "language " + tag}
		if i%2 == 0 {
			m.Buttons = append(m.Buttons, nil)
		}
		last := len(m.Buttons) - 1
		m.Buttons[last] = append(m.Buttons[last], b)
	}
	t.ask(stateLanguage, nil, m)
}

func languagePressed(t *turn, args []string) {
	tag := argument(args, 0)
	t.languageIs(message.LanguageNamed(tag), tag)
}

// languageIs writes in the language from this answer on, the command menu too.
func (t *turn) languageIs(tag, typed string) {
	if tag == "" {
		t.askLanguage(message.Loud("language.unknown", message.Args{"typed": message.Name(typed)}))
		return
	}
	t.done()
	t.preferLanguage = tag
	if t.me().Language != tag {
		t.trip.Edit(t.actor).Language = tag
	}
	lines := []message.Line{message.Say("language.set", message.Args{"language": message.OwnName(tag)})}
	t.send(message.Message{Lines: append(lines, t.unreviewed()...), Commands: t.role()})
}

// unreviewed says that no practitioner has read the texts, where that is so.
func (t *turn) unreviewed() []message.Line {
	if message.Reviewed(t.me().Language) {
		return nil
	}
	line := message.Say("language.unreviewed", message.Args{"command": message.Code("/language")})
	line.Style = message.Quiet
	return []message.Line{line}
}

func (t *turn) role() string {
	return roleOf(t.me().Leader, t.me().Crew)
}

func languageTyped(t *turn, text string) {
	if tag := message.LanguageNamed(text); tag != "" {
		t.languageIs(tag, text)
		return
	}
	t.freely(text)
}
