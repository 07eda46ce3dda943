package conversation

import (
	"strings"
	"testing"

	"gasmuster/internal/message"
)

// The language is chosen by button or by name, in any of its names; it is the
// person's own, goes with them to other trips, and says what it is.
func TestLanguageIsChosen(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"/language de", "de"}, {"/language Deutsch", "de"}, {"/language german", "de"}, {"/language 日本語", "ja"},
		{"/language العربية", "ar"}, {"/language pt-BR", "pt"}, {"/language English", "en"}, {"/language klingon", ""},
		{"/language 32.4", ""},
	} {
		t.Run(c.typed, func(t *testing.T) {
			d := newDesk(t)
			before := d.trip.Person(inês).Language
			r := stepped(t, Input{Trip: d.trip, Now: d.now, Trips: 1,
				Event: Event{Kind: Text, Source: "s", Person: inês, Text: c.typed, At: d.now}})
			stays := before
			if c.want != "" {
				stays = c.want
			}
			if got := r.Trip.Person(inês).Language; r.PreferLanguage != c.want || got != stays {
				t.Errorf("preferred %q, want %q; the person's is %q, want %q", r.PreferLanguage, c.want, got, stays)
			}
			last := r.Letters[len(r.Letters)-1].Message
			if c.want == "" && len(last.Buttons) == 0 {
				t.Error("no choice is offered")
			}
			if said := saysUnreviewed(last); said != (c.want != "" && c.want != "en") {
				t.Errorf("says that nobody has reviewed the texts: %v", said)
			}
			if c.want != "" && last.Commands != "leader" {
				t.Errorf("commands %q, want the leader's menu anew", last.Commands)
			}
		})
	}
}

func saysUnreviewed(m message.Message) bool {
	for _, l := range m.Lines {
		if l.Key == "language.unreviewed" {
			return true
		}
	}
	return false
}

// Every button of /language leads to its language.
func TestLanguageButtons(t *testing.T) {
	d := newDesk(t)
	r := stepped(t, Input{Trip: d.trip, Now: d.now, Trips: 1,
		Event: Event{Kind: Text, Source: "s", Person: inês, Text: "/language", At: d.now}})
	found := 0
	for _, row := range r.Letters[0].Message.Buttons {
		for _, b := range row {
			tag := strings.TrimPrefix(b.Do, "language ")
			pressed := stepped(t, Input{Trip: d.trip, Session: r.Session, Now: d.now, Trips: 1,
				Event: Event{Kind: Button, Source: "b" + tag, Person: inês, Do: b.Do, At: d.now}})
			if pressed.PreferLanguage != tag {
				t.Errorf("%q leads to %q", b.Do, pressed.PreferLanguage)
			}
			found++
		}
	}
	if found != len(message.Languages()) {
		t.Errorf("%d buttons, want %d", found, len(message.Languages()))
	}
}
