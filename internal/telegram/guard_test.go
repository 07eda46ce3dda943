package telegram

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/roster"
)

// state is a trip as it is stored, without the count of its commits: an answer
// is a commit too.
func (s *sea) state(id roster.TripID) []byte {
	s.t.Helper()
	t := s.load(id).Trip
	t.Version = 0
	return asBytes(s.t, t)
}

func verb(do string) string {
	word, _, _ := strings.Cut(do, " ")
	return word
}

// The presses tried here are of every button that there is: all of them stand
// in the conversation's matrix.
func TestForgedKnowsEveryButton(t *testing.T) {
	matrix, err := os.ReadFile("../../testdata/matrix.golden")
	if err != nil {
		t.Fatal(err)
	}
	tried := map[string]bool{}
	for _, do := range forged {
		tried[verb(do)] = true
	}
	found := 0
	for _, m := range regexp.MustCompile(`(?m)^button +([a-z]+) +(?:\S+)`).FindAllStringSubmatch(string(matrix), -1) {
		found++
		if !tried[m[1]] {
			t.Errorf("button %q is not tried with somebody else's finger", m[1])
		}
	}
	if found < 500 {
		t.Errorf("%d presses in the matrix: is it read right?", found)
	}
}

// A button of a trip that the presser isn't on is refused in words, whatever
// it carries and whether the presser is on another trip, leads another or is
// nobody. Neither trip changes, not even by a commit.
func TestButtonOfAnotherTrip(t *testing.T) {
	s := newSea(t)
	before := [][]byte{s.bytes(ours), s.bytes(theirs)}
	for _, who := range []struct {
		name    string
		account int64
		trip    roster.TripID
		want    string
	}{
		{"a stranger", stranger, ours, "door.unknown"},
		{"a diver of another trip", kenji, ours, "door.not-yours"},
		{"the leader of another trip", aoife, ours, "door.not-yours"},
		{"the leader, on another trip", ines, theirs, "door.not-yours"},
	} {
		for _, do := range forged {
			if !named(do) {
				continue
			}
			s.press(who.account, writeData(who.trip, do))
			if got := s.direct[len(s.direct)-1].Message.Lines[0].Key; got != who.want {
				t.Errorf("%s pressed %q: told %q, want %q", who.name, do, got, who.want)
			}
			if after := [][]byte{s.bytes(ours), s.bytes(theirs)}; !bytes.Equal(after[0], before[0]) ||
				!bytes.Equal(after[1], before[1]) {
				t.Fatalf("%s pressed %q and changed a trip:\n%s\n%s", who.name, do, after[0], after[1])
			}
		}
	}
	if n := len(s.direct); n < 4*40 {
		t.Errorf("%d presses answered", n)
	}
}

// named tells presses that are judged by the trip their button names; the two
// others concern all trips of the presser, and only the presser's.
func named(do string) bool { return verb(do) != "talk" && do != "forget yes" }

// The same for people who are on the trip: a diver presses what was meant for
// another, or for the leader.
func TestButtonOfAnotherDiver(t *testing.T) {
	s := newSea(t)
	own := map[string]string{ // what a diver may press at any time: it is about the presser alone
		"units": "units ft", "language": "language de", "leave": "leave yes", "gas": "gas", "howto": "howto", "pass": "pass",
		"forget": "forget yes", "talk": "talk " + string(ours), "before": "before yes", "analyser": "analyser unknown",
	}
	asked := []string{"swap", "refill", "have", "which new"} // ask which cylinder, of the presser's own
	changed := "boat c5 out-of-sight"                        // of the presser's own cylinder, which counts at any time
	own["boat"] = changed
	for _, do := range forged {
		if v := verb(do); v != "boat" && own[v] != "" || do == changed || slices.Contains(asked, do) {
			continue
		}
		s.restore()
		before, other := s.state(ours), s.bytes(theirs)
		s.press(marit, writeData(ours, do))
		said := s.said(marit)
		if len(said) != 1 {
			t.Errorf("%q: told %q, want one answer", do, said)
		}
		if want := "button.leaders-only"; leaders(do) && !slices.Equal(said, []string{want}) {
			t.Errorf("%q, which is a leader's: told %q, want %q", do, said, want)
		}
		if after := s.state(ours); !bytes.Equal(before, after) || !bytes.Equal(other, s.bytes(theirs)) {
			t.Errorf("%q changed the trip:\n%s\n%s", do, before, after)
		}
	}
	for _, do := range own { // what is the presser's own stays the presser's
		s.restore()
		before := s.load(ours).Trip
		s.press(marit, writeData(ours, do))
		checkPressed(t, seats[marit], before, s.load(ours).Trip)
	}
}

func leaders(do string) bool {
	v := verb(do)
	return v == "board" || slices.Contains([]string{"gin", "gall", "gno", "gshut", "gnew"}, v) ||
		(strings.HasPrefix(v, "l") && v != "label" && v != "language" && v != "leave")
}

// What a diver could press once does nothing the second time: the same update
// delivered again, the same button pressed again, and the captured press sent
// by somebody else.
func TestReplayedPress(t *testing.T) {
	s := newSea(t)
	data := writeData(ours, "undo r6")
	s.press(tomasz, data)
	if r := s.load(ours).Trip.Person("p2").Cylinders[0].Readings[0]; r.Undone.IsZero() {
		t.Fatal("the reading was not taken back by its own diver")
	}
	taken, said := s.bytes(ours), len(s.said(tomasz))

	s.update-- // the same update once more
	s.press(tomasz, data)
	if got := s.bytes(ours); !bytes.Equal(got, taken) || len(s.said(tomasz)) != said {
		t.Errorf("a redelivered press changed the trip or was answered twice:\n%s\n%s", taken, got)
	}
	was := s.state(ours)
	for name, account := range map[string]int64{"its diver": tomasz, "another diver": marit, "the leader": ines,
		"a stranger": stranger, "another trip's leader": aoife} {
		heard := len(s.said(account)) + len(s.direct)
		s.press(account, data)
		if got := s.state(ours); !bytes.Equal(got, was) {
			t.Errorf("the button pressed again by %s changed the trip:\n%s\n%s", name, was, got)
		}
		if len(s.said(account))+len(s.direct) == heard {
			t.Errorf("the button pressed again by %s was not answered", name)
		}
	}
}

// What a leader may type, and only on the own trip: a diver is told so, a
// stranger reaches nothing.
func TestLeadersCommands(t *testing.T) {
	s := newSea(t)
	commands := []string{"/board", "/missing", "/for Tomasz 17 30.1 dock", "/site 1 New Reef 12m", "/limit Tomasz 18",
		"/boat",
		"/kept Tomasz", "/refilled 17", "/air 30 80", "/co 17 2", "/changed Tomasz 17", "/cardseen Marit",
		"/out Tomasz ear trouble", "/back Tomasz",
		"/replanned 17", "/signoff", "/reopen 1 wind", "/record", "/link", "/unlink", "/revoke Tomasz"}
	for _, c := range commands {
		s.restore()
		before, other := s.state(ours), s.bytes(theirs)
		s.say(marit, c)
		if said := s.said(marit); !slices.Equal(said, []string{"command.leaders-only"}) {
			t.Errorf("a diver typed %q: told %q, want that it is for leaders", c, said)
		}
		s.say(stranger, c)
		if n := len(s.direct); n != 1 || s.direct[0].Message.Lines[0].Key != "door.unknown" {
			t.Errorf("a stranger typed %q: told %v", c, s.direct)
		}
		s.say(aoife, c) // leads the other trip, where there is no Tomasz and no Marit
		if got := s.state(ours); !bytes.Equal(before, got) {
			t.Errorf("%q changed the trip:\n%s\n%s", c, before, got)
		}
		s.restore()
		s.say(kenji, c)
		if !bytes.Equal(other, asBytes(t, withVersion(s.load(theirs).Trip, other))) {
			t.Errorf("%q by a diver of the other trip changed it", c)
		}
	}
}

// What was dived a diver corrects for themself alone, whoever is named; that
// makes no dive one that was dived.
func TestDiversOwnDived(t *testing.T) {
	s := newSea(t)
	for _, said := range []string{"/dived 1 31m 24", "/dived 1 31m 24 Tomasz", "/dived 1 31m 24 Inês", "/dived 1 no",
		"/dived 1 back", "/dived 1"} {
		s.restore()
		was, other := s.load(ours).Trip, s.bytes(theirs)
		s.say(marit, said)
		is := s.load(ours).Trip
		checkPressed(t, seats[marit], was, is)
		if is.WasDived(1) || is.Dive(1).Outcome != nil || !bytes.Equal(other, s.bytes(theirs)) {
			t.Errorf("%q by a diver made the dive one that was dived, or changed the other trip", said)
		}
		for _, d := range is.Dive(1).Dived {
			if d.Person != seats[marit].Person || d.By != seats[marit].Person {
				t.Errorf("%q by a diver is stored as what %q dived, said by %q", said, d.Person, d.By)
			}
		}
		if said == "/dived 1 31m 24" && len(is.Dive(1).Dived) != 1 {
			t.Errorf("%q by a diver is not stored: %+v", said, is.Dive(1).Dived)
		}
	}
}

// withVersion makes a trip comparable to one that was stored earlier.
func withVersion(t *roster.Trip, stored []byte) *roster.Trip {
	_, _ = fmt.Sscanf(string(stored[bytes.Index(stored, []byte(`"version":`)):]), `"version":%d`, &t.Version)
	return t
}

// A forged message can't borrow another's account: who writes is who the Bot
// API says it is, and an edit of somebody else's message is none.
func TestForgedSender(t *testing.T) {
	s := newSea(t)
	ref := strings.Split(s.load(ours).Trip.Person("p2").Cylinders[0].Readings[0].Ref, ":") // of Tomasz's message
	var message int64
	if _, err := fmt.Sscan(ref[2], &message); err != nil {
		t.Fatal(err)
	}
	before := s.state(ours)
	for name, chat := range map[string]int64{"in the own chat": marit, "in the chat of the other": tomasz} {
		s.post(map[string]any{"edited_message": map[string]any{"message_id": message, "date": s.now.Unix(),
			"edit_date": s.now.Unix(), "text": "28.0",
			"chat": map[string]any{"id": chat, "type": "private"}, "from": map[string]any{"id": marit}}})
		if got := ownReadings(s, "p2"); got != 1 {
			t.Errorf("%s: the edit made it %d readings", name, got)
		}
	}
	tomaszs := ownOf(t, s.load(ours).Trip.Person("p2"))
	was := roster.NewTrip("", "") // what is empty is not stored
	mustUnmarshal(t, before, was)
	if !bytes.Equal(tomaszs, ownOf(t, was.Person("p2"))) {
		t.Errorf("an edit by somebody else changed Tomasz:\n%s", tomaszs)
	}
}

func ownReadings(s *sea, id roster.PersonID) int {
	n := 0
	for _, c := range s.load(ours).Trip.Person(id).Cylinders {
		n += len(c.Readings)
	}
	return n
}

func mustUnmarshal(t *testing.T, raw []byte, v any) {
	t.Helper()
	if err := unmarshal(raw, v); err != nil {
		t.Fatal(err)
	}
}
