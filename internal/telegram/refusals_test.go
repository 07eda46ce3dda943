package telegram

// The refusals of the Bot API, one by one, met as they come about rather than
// scripted. Refusals of edits ("message is not modified", "message to edit not
// found") and of answers to a message ("message to be replied not found") can't
// come: this channel edits and quotes nothing, which TestOnlyTheseMethods holds.

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/telegram/standin"
)

func (r *rig) send(a roster.Address) delivery.Outcome {
	return r.ch.Send(r.t.Context(), envelope(a, message.Message{Lines: []message.Line{line("32.4")}}))
}

var sent = delivery.Outcome{Result: delivery.Sent}

func TestRefusalChatNotFound(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if got := r.send(private(7099)); got != never(ReasonNoChat) {
		t.Errorf("a chat that nobody opened: %+v", got)
	}
	r.api.Fault(standin.Fault{Method: "sendMessage", Status: 400, Description: "Bad Request: private chat not found"})
	if got := r.send(private(7099)); got != never(ReasonNoChat) {
		t.Errorf("private chat not found: %+v", got)
	}
	r.api.User(7099, "Tomasz", "pl").Start("")
	if got := r.send(private(7099)); got != sent {
		t.Errorf("after Start: %+v", got)
	}
}

func TestRefusalGroupBecameSupergroup(t *testing.T) {
	t.Parallel()
	for name, told := range map[string]bool{"found out when sending": false, "told by service messages": true} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t).run()
			g := r.api.Group(-55, "Saturday two-tank")
			old, now := chat{id: -55}.address(), chat{id: -10055}.address()
			if got := r.send(old); got != sent {
				t.Fatalf("before: %+v", got)
			}
			after := g.Upgrade(-10055, told)
			if got := r.send(old); got.Result != delivery.Later || got.Moved != now {
				t.Errorf("to the old id: %+v, want moved to %v", got, now)
			}
			if got := r.send(now); got != sent || len(after.Messages()) != 1 {
				t.Errorf("to the new id: %+v", got)
			}
			if !told {
				return
			}
			for _, in := range r.heard(2) { // in the old chat and in the new one
				if in.Kind != conversation.Moved || in.From != old || in.Group != now {
					t.Errorf("heard %+v", in)
				}
			}
		})
	}
}

func TestRefusalQueryTooOld(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	yusuf := r.api.User(7004, "Yusuf", "tr")
	yusuf.Start("")
	m := message.Message{Lines: []message.Line{line("which?")},
		Buttons: buttons(message.Button{Label: line("Undo"), Do: "undo r1"})}
	if got := r.ch.Send(t.Context(), envelope(private(7004), m)); got != sent {
		t.Fatal(got)
	}
	r.heard(1)
	r.desk.answer = func(delivery.Inbound) (*delivery.Reply, error) {
		yusuf.ExpirePresses()
		return nil, nil
	}
	yusuf.Press("Undo, end")
	r.heard(2)
	r.ch.later.wait()
	if got := len(r.api.Calls("answerCallbackQuery")); got != 1 {
		t.Errorf("answered %d times, want once", got)
	}
	if strings.Contains(r.log.String(), "level=WARN") {
		t.Errorf("an old press is logged as trouble:\n%s", r.log)
	}
}

func TestRefusalTokenRevoked(t *testing.T) {
	t.Parallel()
	r := newRig(t, func(r *rig) { r.cfg.Token = "4242424242:AAanother-secret-revoked" })
	r.api.User(7001, "Tomasz", "pl").Start("")
	if got := r.send(private(7001)); got != (delivery.Outcome{Result: delivery.Paused, After: waitLong}) {
		t.Errorf("outcome %+v, want the whole channel paused", got)
	}
	if log := r.log.String(); !strings.Contains(log, "level=ERROR") || !strings.Contains(log, "token") {
		t.Errorf("the operator isn't told:\n%s", log)
	}
}

func TestRefusalBlockedAndBack(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	marit := r.api.User(7002, "Marit", "nb")
	marit.Start("")
	got := []delivery.Outcome{r.send(private(7002))}
	marit.Block()
	got = append(got, r.send(private(7002)))
	r.heard(2)
	marit.Unblock()
	got = append(got, r.send(private(7002)))
	if want := []delivery.Outcome{sent, never(ReasonBlocked), sent}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	in := r.heard(3)
	if kinds, want := []conversation.Kind{in[0].Kind, in[1].Kind, in[2].Kind},
		[]conversation.Kind{conversation.Text, conversation.Lost, conversation.Found}; !cmp.Equal(kinds, want) {
		t.Error(cmp.Diff(want, kinds))
	}
}

func TestRefusalNeverStarted(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	g, kenji := r.api.Group(-55, "Saturday two-tank"), r.api.User(7006, "Kenji", "ja")
	g.Send(kenji, "/missing")
	if got := r.heard(1)[0]; got.From != private(7006) || got.Group != (chat{id: -55}).address() {
		t.Errorf("heard %+v", got)
	}
	if got := r.send(private(7006)); got != never(ReasonNotStarted) {
		t.Errorf("outcome %+v", got)
	}
}

func TestRefusalRemovedFromGroup(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	g := r.api.Group(-55, "Saturday two-tank")
	g.Kick()
	if got := r.send(chat{id: -55}.address()); got != never(ReasonRemoved) {
		t.Errorf("outcome %+v", got)
	}
}

func TestRefusalTooManyRequests(t *testing.T) {
	t.Parallel()
	now := noon
	api := standin.New(t, standin.Options{PerChat: 2, Period: 3 * time.Second, Now: func() time.Time { return now }})
	r := newRig(t, func(r *rig) { r.api, r.cfg.Token, r.cfg.APIURL = api, api.Token, api.URL() })
	api.User(7001, "Tomasz", "pl").Start("")
	api.User(7002, "Marit", "nb").Start("")
	got := []delivery.Result{r.send(private(7001)).Result, r.send(private(7001)).Result}
	refused := r.send(private(7001))
	got = append(got, refused.Result, r.send(private(7002)).Result)
	now = now.Add(refused.After)
	got = append(got, r.send(private(7001)).Result)
	if want := []delivery.Result{delivery.Sent, delivery.Sent, delivery.Later, delivery.Sent,
		delivery.Sent}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	// Getting updates can be refused as well; the wish is obeyed there too.
	api.Fault(standin.Fault{Method: "getUpdates", Status: 429, RetryAfter: 40,
		Description: "Too Many Requests: retry after 40"})
	_, err := (&poller{c: r.ch}).fetch(t.Context())
	if got := r.ch.backOff(0, err); got != 40*time.Second {
		t.Errorf("next poll in %v, want 40 s", got)
	}
}

// Everything that a day makes the channel ask of the server.
func TestOnlyTheseMethods(t *testing.T) {
	t.Parallel()
	asked := map[string]bool{}
	for _, c := range []choice{func(*rig) {}, byWebhook} {
		r := newRig(t, c).run()
		tomasz := r.api.User(7001, "Tomasz", "pl")
		mine := tomasz.Start("code")
		m := message.Message{Lines: []message.Line{line("which?")}, Commands: "diver",
			Buttons: buttons(message.Button{Label: line("Undo"), Do: "undo r1"})}
		if got := r.ch.Send(t.Context(), envelope(private(7001), m)); got != sent {
			t.Fatal(got)
		}
		tomasz.Press("Undo, end")
		tomasz.Edit(mine, "32.4")
		r.heard(3)
		r.ch.inspectWebhook(t.Context(), 0)
		r.ch.later.wait()
		for _, e := range r.api.Transcript() {
			asked[e.Method] = true
			if _, quotes := e.Params["reply_parameters"]; quotes {
				t.Errorf("%s quotes a message", e.Method)
			}
		}
	}
	want := []string{"answerCallbackQuery", "deleteWebhook", "getMe", "getUpdates", "getWebhookInfo", "sendMessage",
		"setMyCommands", "setWebhook", "webhook"}
	if got := slices.Sorted(maps.Keys(asked)); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}
