package delivery_test

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

func TestInviteCodeFitsADeepLinkAndIsOnlyItsOwn(t *testing.T) {
	form := regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`) // Telegram's start parameter
	rapid.Check(t, func(t *rapid.T) {
		trip := roster.TripID(rapid.StringMatching(`[a-z2-7]{10}`).Draw(t, "trip"))
		p := &roster.Person{ID: roster.PersonID(rapid.StringMatching(`p[1-9][0-9]{0,3}`).Draw(t, "person")),
			Generation: rapid.IntRange(1, 20).Draw(t, "generation")}
		code := invites.Code(trip, p.ID, p.Generation)
		if !form.MatchString(code) {
			t.Fatalf("%q does not fit a deep link", code)
		}
		gotTrip, gotPerson, ok := delivery.ParseInvite(code)
		if !ok || gotTrip != trip || gotPerson != p.ID || invites.Verify(code, trip, p) != nil {
			t.Fatalf("%q is read as %q %q", code, gotTrip, gotPerson)
		}
		if delivery.NewInvites("another secret").Verify(code, trip, p) == nil {
			t.Fatal("a code of another deployment opens the door")
		}
		p.Generation++
		if err := invites.Verify(code, trip, p); !errors.Is(err, delivery.ErrInviteRevoked) {
			t.Fatalf("revoked code: %v", err)
		}
		i := rapid.IntRange(0, len(code)-1).Draw(t, "changed at")
		p.Generation--
		if bad := code[:i] + "A" + code[i+1:]; bad != code && invites.Verify(bad, trip, p) == nil {
			t.Fatalf("%q opens the door too", bad)
		}
	})
}

func FuzzParseInvite(f *testing.F) {
	for _, s := range []string{"", "-", "--", "aaaaaaaaaa-p1-", "aaaaaaaaaa-p1-" + strings.Repeat("A", 22),
		invites.Code(tripA, "p1", 1), "ａ-ｐ1-x"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, code string) {
		trip, person, ok := delivery.ParseInvite(code)
		if ok && (!trip.Valid() || person == "") {
			t.Errorf("%q is read as trip %q person %q", code, trip, person)
		}
	})
}

func start(source, from, code string) delivery.Inbound {
	return delivery.Inbound{Kind: conversation.Text, Source: source, From: chat(from), Text: "/start " + code, At: noon}
}

// joins makes the step do what joining does to the trip.
func joins(in conversation.Input) conversation.Result {
	r := changed(in, func(d *roster.Draft) {
		if in.Event.Kind == conversation.Join {
			d.Join(in.Event.Person, in.Event.Address, in.Event.Language, in.Now)
		}
	})
	r.Letters = []conversation.Letter{letter(in.Event.Person)}
	return r
}

func TestJoinLinksBeforeItCommits(t *testing.T) {
	s := newStage(t)
	s.answer = joins
	if r := s.handled(t, start("tg:1", "300", invites.Code(tripA, "p3", 2))); r != nil {
		t.Errorf("reply %q, want none", said(r))
	}
	if want := []string{"link", "commit"}; !slices.Equal(s.order, want) {
		t.Errorf("wrote %v, want %v", s.order, want)
	}
	if p := s.trip(t, tripA).Person("p3"); len(p.Addresses) != 1 || p.Addresses[0] != chat("300") {
		t.Errorf("addresses %v", p.Addresses)
	}
	if len(s.out) != 1 || s.out[0].Address != chat("300") {
		t.Errorf("answers %v, want one to the new chat", s.out)
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Text, Source: "tg:2", From: chat("300"), Text: "32.4"})
	if got := s.inputs[len(s.inputs)-1].Event.Person; got != "p3" {
		t.Errorf("afterwards the chat is %q, want p3", got)
	}
}

func TestInvitesThatOpenNothing(t *testing.T) {
	good := invites.Code(tripA, "p3", 2)
	for name, c := range map[string]struct{ from, code, want string }{
		"nonsense":        {"300", "open sesame", "door.invite-wrong"},
		"cut off":         {"300", good[:len(good)-1], "door.invite-wrong"},
		"of nobody":       {"300", invites.Code(tripA, "p77", 1), "door.invite-wrong"},
		"forged":          {"300", delivery.NewInvites("guess").Code(tripA, "p3", 2), "door.invite-wrong"},
		"revoked":         {"300", invites.Code(tripA, "p3", 1), "door.invite-revoked"},
		"unknown trip":    {"300", invites.Code("zzzzzzzzzz", "p3", 2), "door.invite-gone"},
		"trip over":       {"300", invites.Code(tripB, "p3", 2), "door.invite-gone"},
		"erased person":   {"300", invites.Code("cccccccccc", "p3", 2), "door.invite-gone"},
		"used by another": {"300", invites.Code(tripA, "p2", 1), "door.invite-used"},
		"somebody here":   {"200", good, "door.invite-taken"},
		"naughty string":  {"300", "<b>\u202e-p3-\x00", "door.invite-wrong"},
	} {
		t.Run(name, func(t *testing.T) {
			erased := charter("cccccccccc", noon.Add(20*time.Hour))
			erased.Edit("p3").Erased = true
			s := newStage(t, charter(tripA, noon.Add(20*time.Hour)), charter(tripB, noon.Add(-72*time.Hour)), erased)
			s.answer = joins
			if got := said(s.handled(t, start("tg:1", c.from, c.code))); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
			for _, id := range []roster.TripID{tripA, tripB, "cccccccccc"} {
				if p := s.trip(t, id).Person("p3"); len(p.Addresses) != 0 {
					t.Errorf("trip %s let %v in", id, p.Addresses)
				}
			}
		})
	}
}

func TestUsedInviteIsToldToTheLeaderOnce(t *testing.T) {
	s := newStage(t)
	for _, source := range []string{"tg:1", "tg:2"} {
		s.handled(t, start(source, "300", invites.Code(tripA, "p2", 1)))
	}
	if len(s.out) != 1 || s.out[0].Address != chat("100") || !strings.Contains(string(s.out[0].Payload), "Tomasz") {
		t.Errorf("letters %+v, want one to the leader about Tomasz", s.out)
	}
}

func TestSamePersonIsWelcomedBack(t *testing.T) {
	for name, in := range map[string]delivery.Inbound{
		"with the code": start("tg:1", "200", invites.Code(tripA, "p2", 1)),
		"bare":          start("tg:1", "200", ""),
	} {
		t.Run(name, func(t *testing.T) {
			s := newStage(t)
			s.answer = joins
			if r := s.handled(t, in); r != nil {
				t.Errorf("reply %q, want none", said(r))
			}
			if got := s.events(); !slices.Equal(got, []conversation.Kind{conversation.Join}) {
				t.Errorf("events %v, want a join", got)
			}
			if p := s.trip(t, tripA).Person("p2"); len(p.Addresses) != 1 {
				t.Errorf("addresses %v, want the one", p.Addresses)
			}
		})
	}
}

func TestPageIsASecondDevice(t *testing.T) {
	s := newStage(t)
	s.answer = joins
	page := delivery.WebAddress(tripA, "p2")
	for _, source := range []string{"web:1", "web:2"} { // opened, opened again
		s.handled(t, delivery.Inbound{Kind: conversation.Join, Source: source, From: page, Trip: tripA, Person: "p2"})
	}
	if got := len(s.inputs); got != 1 {
		t.Errorf("%d events, want one: opening a page again says nothing", got)
	}
	if p := s.trip(t, tripA).Person("p2"); len(p.Addresses) != 2 {
		t.Fatalf("addresses %v, want chat and page", p.Addresses)
	}
	s.out = nil
	s.answer = nil
	s.handled(t, delivery.Inbound{Kind: conversation.Text, Source: "web:3", From: page, Trip: tripA, Person: "p2",
		Text: "32"})
	s.handled(t, text("tg:3", "32"))
	if got := s.out; len(got) != 2 || got[0].Address != page || got[1].Address != chat("200") {
		t.Errorf("answers went to %+v, want each to where it was asked", got)
	}
	s.out = nil
	s.answer = func(conversation.Input) conversation.Result {
		return conversation.Result{Letters: []conversation.Letter{letter("p2")}}
	}
	s.handled(t, fromLeader("tg:4"))
	if got := s.addressed(); got[chat("200")] != 1 || got[page] != 1 {
		t.Errorf("news went to %v, want the chat, which rings, and a copy on the page", got)
	}
}

func TestInvited(t *testing.T) {
	s := newStage(t)
	trip, p, err := s.door.Invited(t.Context(), invites.Code(tripA, "p3", 2))
	if err != nil || trip.ID != tripA || p.ID != "p3" {
		t.Errorf("got %v %v %v", trip, p, err)
	}
	for token, want := range map[string]error{
		"x":                                 delivery.ErrInviteWrong,
		invites.Code(tripA, "p3", 1):        delivery.ErrInviteRevoked,
		invites.Code("zzzzzzzzzz", "p3", 1): delivery.ErrInviteGone,
	} {
		if _, _, err := s.door.Invited(t.Context(), token); !errors.Is(err, want) {
			t.Errorf("%q: got %v, want %v", token, err, want)
		}
	}
}
