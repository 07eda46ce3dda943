package delivery_test

import (
	"context"
	"errors"
	"strconv"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// hosts are the hosts of a deployment, by hand.
type hosts map[roster.HostID]roster.Host

func (h hosts) PutHost(_ context.Context, host roster.Host) error { h[host.ID] = host; return nil }
func (h hosts) HostList(context.Context) ([]roster.Host, error)   { return nil, nil }
func (h hosts) RemoveHost(_ context.Context, id roster.HostID) error {
	delete(h, id)
	return nil
}

func (h hosts) Host(_ context.Context, id roster.HostID) (roster.Host, error) {
	host, ok := h[id]
	if !ok {
		return host, roster.ErrNotFound
	}
	return host, nil
}

const nuno roster.HostID = "hhhhhhhhhh"

// hosting is a stage with the real dialogue and a host Nuno.
func hosting(t *testing.T) (*stage, hosts) {
	t.Helper()
	draft := charter(tripA, noon.Add(20*time.Hour))
	draft.Next = 9 // behind the numbers of its people
	s := newStage(t, draft)
	all := hosts{nuno: {ID: nuno, Name: "Nuno", Shop: "s1", Generation: 2, Zone: "UTC", Units: "m"}}
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.memory, Addresses: s.memory, Pages: s.memory, Invites: invites,
		Hosts: all,
		Keep:  30 * 24 * time.Hour, Evening: "0 18 * * *", Quiet: "none", Now: func() time.Time { return noon }})
	return s, all
}

func (s *stage) types(t *testing.T, source, from, words string) string {
	t.Helper()
	return said(s.handled(t, delivery.Inbound{Kind: conversation.Text, Source: source, From: chat(from), Text: words,
		At: noon, Name: "Nuno"}))
}

func (s *stage) pressesAside(t *testing.T, source, from, do string) string {
	t.Helper()
	return said(s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: source, From: chat(from), Do: do,
		At: noon, Name: "Nuno"}))
}

// A host's link makes the account a host's; an older one, a removed host's and any
// other opens nothing.
func TestHostLinks(t *testing.T) {
	s, all := hosting(t)
	for code, want := range map[string]string{
		invites.HostCode(nuno, 2):                                "host.welcome",
		invites.HostCode(nuno, 1):                                "door.invite-revoked",
		invites.HostCode("gggggggggg", 1):                        "door.invite-wrong",
		delivery.NewInvites("another").HostCode(nuno, 2):         "door.invite-wrong",
		"host-" + string(nuno) + "-AAAAAAAAAAAAAAAAAAAAAA":       "door.invite-wrong",
		"host-" + string(nuno):                                   "door.invite-wrong",
		invites.OpenCode(tripA, 1):                               "door.invite-wrong", // never opened
		"open-" + string(tripA) + "-" + "AAAAAAAAAAAAAAAAAAAAAA": "door.invite-wrong",
	} {
		if got := s.types(t, "tg:"+code, "700", "/start "+code); got != want {
			t.Errorf("%s: %q, want %q", code, got, want)
		}
	}
	if got := s.types(t, "tg:1", "701", "/newtrip"); got != "host.not" {
		t.Errorf("a stranger: %q", got)
	}
	if got := s.types(t, "tg:2", "700", "/newtrip"); got != "newtrip.ask.day" {
		t.Errorf("the host: %q", got)
	}
	delete(all, nuno)
	if got := s.types(t, "tg:3", "700", "tomorrow 8:30"); got != "host.not" {
		t.Errorf("removed meanwhile: %q", got)
	}
}

// A trip is started once, however often Start is pressed and delivered; its host
// leads it. What else they lead is not touched by what they type meanwhile.
func TestHostStartsATripOnce(t *testing.T) {
	s, _ := hosting(t)
	s.types(t, "tg:1", "100", "/start "+invites.HostCode(nuno, 2)) // 100 leads trip A
	if got := s.types(t, "tg:2", "100", "/newtrip tomorrow 8:30 Lime Kiln 18 m"); got != "newtrip.ask.bottom" {
		t.Fatalf("asked %q", got)
	}
	before := string(s.trips[tripA])
	if got := s.types(t, "tg:3", "100", "20 m"); got != "newtrip.ask.minutes" {
		t.Errorf("asked %q", got)
	}
	if got := s.types(t, "tg:3", "100", "20 m"); got != "newtrip.ask.minutes" {
		t.Errorf("the same delivered again: asked %q", got)
	}
	if got := s.types(t, "tg:4", "100", "40"); got != "newtrip.summary" {
		t.Errorf("asked %q", got)
	}
	if string(s.trips[tripA]) != before {
		t.Error("an answer was taken for talk on the other trip")
	}
	for _, source := range []string{"tg:5", "tg:5", "tg:6"} {
		s.pressesAside(t, source, "100", "newtrip start")
	}
	if len(s.trips) != 2 {
		t.Fatalf("%d trips", len(s.trips))
	}
	for id := range s.trips {
		if l, _ := s.Load(t.Context(), id, ""); id != tripA {
			leader := l.Trip.Leaders()[0]
			if leader.Name != "Nuno" || l.Trip.Shop != "s1" || len(leader.Addresses) != 1 || !l.Trip.Gate.Open {
				t.Errorf("%+v", leader)
			}
		}
	}
}

// opened is trip A with its open invite open, and its code.
func opened(t *testing.T) (*stage, string) {
	t.Helper()
	s, _ := hosting(t)
	s.types(t, "tg:o", "100", "/letin")
	return s, invites.OpenCode(tripA, 1)
}

func (s *stage) gate(t *testing.T) *roster.Gate {
	t.Helper()
	l, err := s.Load(t.Context(), tripA, "")
	if err != nil {
		t.Fatal(err)
	}
	return l.Trip.Gate
}

// Opening changes nothing; who said who they are waits; who is let in is on the trip.
func TestComesByTheOpenInvite(t *testing.T) {
	s, code := opened(t)
	commits := len(s.commits)
	for i, step := range []struct{ words, do, asks string }{
		{words: "/start " + code, asks: "newcomer.name"}, {words: "31.4", asks: "newcomer.name.wrong"},
		{words: "when do we leave?", asks: "newcomer.name.wrong"}, {do: "newcomer own", asks: "newcomer.card"},
		{words: "yes", asks: "newcomer.tap"}, {do: "newcomer card 99", asks: "leader.question-over"},
		{do: "newcomer nocard 30", asks: "newcomer.blend"},
		{words: "32", asks: "newcomer.blend.no-card"}, {do: "newcomer ask 1 32", asks: "newcomer.blend.no-card"},
	} {
		source := "tg:" + string(rune('a'+i))
		got := ""
		if step.do != "" {
			got = s.pressesAside(t, source, "800", step.do)
		} else {
			got = s.types(t, source, "800", step.words)
		}
		if got != step.asks {
			t.Errorf("%q%q: %q, want %q", step.words, step.do, got, step.asks)
		}
	}
	if len(s.commits) != commits {
		t.Error("the trip changed before anything was asked of it")
	}
	if got := s.pressesAside(t, "tg:z", "800", "newcomer ask 1 21"); got != "newcomer.waits" {
		t.Fatalf("told %q", got)
	}
	// the label, if they know it
	for i, said := range [][2]string{{"20.9", "diver.label.wrong"}, {"who else is diving", "diver.label.wrong"},
		{"Y7؟", "diver.label.wrong"}, {"Y7", "newcomer.waits"}} {
		if got := s.types(t, "tg:l"+strconv.Itoa(i), "800", said[0]); got != said[1] {
			t.Errorf("%q: %q, want %q", said[0], got, said[1])
		}
	}
	waiting := s.gate(t).Waiting
	if len(waiting) != 1 || waiting[0].Name != "Nuno" || waiting[0].Asked[0] != 21 || waiting[0].Label != "Y7" {
		t.Fatalf("%+v", waiting)
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:in", From: chat("100"), Trip: tripA,
		Do: "gin " + waiting[0].ID, At: noon})
	if got := s.linked(chat("800")); len(got) != 1 || s.addressed()[chat("800")] == 0 {
		t.Errorf("on %v, %d letters", got, s.addressed()[chat("800")])
	}
}

// Ten thousand accounts open it in the chat, and a hundred say who they are: so many
// wait, and none of them reads more than the trip's name, its day and what they said,
// whatever they ask for.
func TestManyAccountsAtTheOpenInvite(t *testing.T) {
	s, code := opened(t)
	words, secrets := message.New(), []string{"Anvil Ledge", "Inês", "Tomasz", "30 m", "22 min"}
	hears := func(in delivery.Inbound) string {
		reply := s.handled(t, in)
		if reply == nil {
			return ""
		}
		text := words.Text(reply.Message, message.Reader{Language: "en", Zone: "Atlantic/Azores", Units: "m"}, message.Plain)
		for _, secret := range secrets {
			if strings.Contains(text, secret) {
				t.Errorf("%q tells a stranger %q:\n%s", in.Text+in.Do, secret, text)
			}
		}
		return text
	}
	commits := len(s.commits)
	for i := range 10000 {
		who := strconv.Itoa(100000 + i)
		hears(delivery.Inbound{Kind: conversation.Text, Source: "tg:open" + who, From: chat(who), Text: "/start " + code,
			At: noon, Name: "Rui"})
	}
	if len(s.commits) != commits {
		t.Errorf("opening changed the trip %d times", len(s.commits)-commits)
	}
	for i := range 100 {
		who := strconv.Itoa(100000 + i)
		for j, do := range []string{"newcomer own", "newcomer nocard 40", "newcomer ask 1 21"} {
			hears(delivery.Inbound{Kind: conversation.Button, Source: "tg:" + who + ":" + strconv.Itoa(j), From: chat(who),
				Do: do, At: noon, Name: "Rui"})
		}
	}
	if n := len(s.gate(t).Waiting); n != roster.MaxWaiting {
		t.Errorf("%d wait, want %d", n, roster.MaxWaiting)
	}
	for i, asked := range []string{"/board", "/trip", "/gas", "/missing", "/letin", "/muster", "/record", "31.8",
		"who is on it?", "/reading", "/newtrip"} {
		hears(delivery.Inbound{Kind: conversation.Text, Source: "tg:ask" + strconv.Itoa(i), From: chat("100000"),
			Text: asked, At: noon, Name: "Rui"})
	}
	if s.gate(t).Waiting[0].Label != "" {
		t.Errorf("a command is kept as a label: %+v", s.gate(t).Waiting[0])
	}
}

// A refused account hears so once, and does not come back.
func TestRefusedAtTheOpenInvite(t *testing.T) {
	s, code := opened(t)
	come := func(n string) string {
		s.types(t, "tg:1"+n, "800", "/start "+code)
		s.pressesAside(t, "tg:2"+n, "800", "newcomer own")
		s.pressesAside(t, "tg:3"+n, "800", "newcomer nocard 30")
		return s.pressesAside(t, "tg:4"+n, "800", "newcomer ask 1 21")
	}
	if got := come("a"); got != "newcomer.waits" {
		t.Fatal(got)
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:no", From: chat("100"), Trip: tripA,
		Do: "gno " + s.gate(t).Waiting[0].ID, At: noon})
	if n := s.addressed()[chat("800")]; n != 1 {
		t.Errorf("%d letters to who was refused", n)
	}
	if got := come("b"); got != "newcomer.refused-before" {
		t.Errorf("back again: %q", got)
	}
	s.types(t, "tg:s", "100", "/letin")
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:new", From: chat("100"), Trip: tripA,
		Do: "gnew 1", At: noon})
	if got := s.types(t, "tg:9", "900", "/start "+code); got != "door.invite-revoked" {
		t.Errorf("the old link: %q", got)
	}
}

// Who waits to be let in may be forgotten like anybody else, at once.
func TestWhoWaitsIsForgotten(t *testing.T) {
	s, code := opened(t)
	s.types(t, "tg:1", "800", "/start "+code)
	s.pressesAside(t, "tg:2", "800", "newcomer own")
	s.pressesAside(t, "tg:3", "800", "newcomer nocard 30")
	if got := s.pressesAside(t, "tg:4", "800", "newcomer ask 1 21"); got != "newcomer.waits" {
		t.Fatal(got)
	}
	if got := s.types(t, "tg:7", "800", "/forget"); got != "door.forgotten" {
		t.Errorf("told %q", got)
	}
	if n := len(s.gate(t).Waiting); n > 0 {
		t.Errorf("%d still wait", n)
	}
	if r, err := s.Route(t.Context(), chat("800"), ""); err != nil || r.Talk != nil {
		t.Errorf("kept of them: %s, %v", r.Talk, err)
	}
}

// A waiting page is its bearer's alone, and leads to their own page.
func TestTickets(t *testing.T) {
	s, code := opened(t)
	id, err := s.door.Knock(t.Context(), tripA, roster.Newcomer{Name: "Rui", Card: "none", Asked: []gas.Percent{21},
		From: "wifi"}, "step:1")
	if err != nil {
		t.Fatal(err)
	}
	ticket := invites.Ticket(tripA, id)
	for _, wrong := range [][3]string{{code, id, invites.Ticket(tripB, id)}, {code, "n9", ticket}, {code, id, ""},
		{invites.OpenCode(tripB, 1), id, ticket}} {
		if _, err := s.door.Waits(t.Context(), wrong[0], wrong[1], wrong[2]); !errors.Is(err, delivery.ErrInviteWrong) {
			t.Errorf("%v: %v", wrong, err)
		}
	}
	w, err := s.door.Waits(t.Context(), code, id, ticket)
	if err != nil || w.Page != "" || w.Refused {
		t.Errorf("%+v, %v", w, err)
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:in", From: chat("100"), Trip: tripA,
		Do: "gin " + id, At: noon})
	w, err = s.door.Waits(t.Context(), code, id, ticket)
	if err != nil {
		t.Fatal(err)
	}
	if _, p, err := s.door.Invited(t.Context(), w.Page); err != nil || p.Name != "Rui" {
		t.Errorf("page %q: %v, %v", w.Page, p, err)
	}
}
