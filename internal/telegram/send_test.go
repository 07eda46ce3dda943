package telegram

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http/httptest"
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

func buttons(b ...message.Button) [][]message.Button { return [][]message.Button{b} }

func TestSendShowsWordsAndButtons(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	lucia := r.api.User(7005, "Lucía", "es")
	lucia.Start("")
	m := message.Message{
		Lines: []message.Line{
			message.Loud("list.more", message.Args{"a": message.Code("✅ GO"), "b": message.Code("<b>&\"'")}),
			{Style: message.Gap},
			message.Row("list.more", message.Args{"a": message.Code("17"), "b": message.Code("32.4 %")})},
		Buttons: [][]message.Button{{{Label: line("Undo"), Do: "undo r1"}, {Label: line("More"), Do: "more"}},
			{{Label: line("Page"), URL: "https://bot.example/c/x"}}},
	}
	if out := r.ch.Send(t.Context(), envelope(private(7005), m)); out != (delivery.Outcome{Result: delivery.Sent}) {
		t.Fatalf("outcome %+v", out)
	}
	got := lucia.Messages()[0]
	if want := "✅\u00a0GO, <b>&\"'\n\n17, 32.4\u00a0%"; got.Text != want {
		t.Errorf("text %q, want %q", got.Text, want)
	}
	wantEntities := []standin.Entity{{Type: "bold", Offset: 0, Length: 12}, {Type: "pre", Offset: 14, Length: 10}}
	if !cmp.Equal(got.Entities, wantEntities) {
		t.Error(cmp.Diff(wantEntities, got.Entities))
	}
	wantButtons := [][]standin.Button{
		{{Label: "Undo, end", Data: "abcdefgh23|undo r1"}, {Label: "More, end", Data: "abcdefgh23|more"}},
		{{Label: "Page, end", URL: "https://bot.example/c/x"}}}
	if !cmp.Equal(got.Buttons, wantButtons) {
		t.Error(cmp.Diff(wantButtons, got.Buttons))
	}
	if p := r.api.Calls("sendMessage")[0].Params["link_preview_options"]; p != `{"is_disabled":true}` {
		t.Errorf("link preview %q", p)
	}
}

// What becomes of a message when the server, or the way to it, fails.
func TestSendOutcomes(t *testing.T) {
	t.Parallel()
	second := time.Second
	for name, c := range map[string]struct {
		fault   standin.Fault
		want    delivery.Outcome
		arrived int
	}{
		"429": {standin.Fault{Status: 429, RetryAfter: 9,
			Description: "Too Many Requests: retry after 9"}, delivery.Outcome{Result: delivery.Later, After: 9 * second}, 0},
		"429 of a proxy": {standin.Fault{Status: 429, Page: "slow down"},
			delivery.Outcome{Result: delivery.Later, After: second}, 0},
		"500": {standin.Fault{Status: 500, Description: "Internal Server Error"},
			delivery.Outcome{Result: delivery.Failed}, 0},
		"502 page":                {standin.Fault{Status: 502, Page: "<html>"}, delivery.Outcome{Result: delivery.Failed}, 0},
		"empty 504":               {standin.Fault{Status: 504, Empty: true}, delivery.Outcome{Result: delivery.Failed}, 0},
		"connection cut, arrived": {standin.Fault{Drop: true, Applied: true}, delivery.Outcome{Result: delivery.Unsure}, 1},
		"connection cut, lost":    {standin.Fault{Drop: true}, delivery.Outcome{Result: delivery.Unsure}, 0},
		"half an answer":          {standin.Fault{Half: true}, delivery.Outcome{Result: delivery.Unsure}, 1},
		"401": {standin.Fault{Status: 401, Description: "Unauthorized"},
			delivery.Outcome{Result: delivery.Paused, After: time.Minute}, 0},
		"404": {standin.Fault{Status: 404, Description: "Not Found"},
			delivery.Outcome{Result: delivery.Paused, After: time.Minute}, 0},
		"blocked": {standin.Fault{Status: 403, Description: "Forbidden: bot was blocked by the user"},
			never(ReasonBlocked), 0},
		"deactivated": {standin.Fault{Status: 403, Description: "Forbidden: user is deactivated"},
			never(ReasonDeactivated), 0},
		"never started": {standin.Fault{Status: 403, Description: "Forbidden: bot can't initiate conversation with a user"},
			never(ReasonNotStarted), 0},
		"kicked": {standin.Fault{Status: 403, Description: "Forbidden: bot was kicked from the supergroup chat"},
			never(ReasonRemoved), 0},
		"not a member": {standin.Fault{Status: 403, Description: "Forbidden: bot is not a member of the channel chat"},
			never(ReasonRemoved), 0},
		"no chat": {standin.Fault{Status: 400, Description: "Bad Request: chat not found"}, never(ReasonNoChat), 0},
		"no rights": {standin.Fault{Status: 400,
			Description: "Bad Request: not enough rights to send text messages to the chat"}, never(ReasonRemoved), 0},
		"another 400": {standin.Fault{Status: 400, Description: "Bad Request: SOMETHING_NEW"}, never(ReasonRefused), 0},
		"moved": {standin.Fault{Status: 400, Description: "Bad Request: group chat was upgraded to a supergroup chat",
			MigrateTo: -1007}, delivery.Outcome{Result: delivery.Later, Moved: chat{id: -1007}.address()}, 0},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			kenji := r.api.User(7006, "Kenji", "ja")
			kenji.Start("")
			c.fault.Method = "sendMessage"
			r.api.Fault(c.fault)
			if got := r.ch.Send(t.Context(), letter(7006, line("17 reads 32.4"))); got != c.want {
				t.Errorf("outcome %+v, want %+v", got, c.want)
			}
			if got := len(kenji.Messages()); got != c.arrived {
				t.Errorf("%d messages arrived, want %d", got, c.arrived)
			}
			if strings.Contains(r.log.String(), "reads 32.4") {
				t.Error("the log holds a text")
			}
		})
	}
}

// Refused connections were surely not sent; an answer that doesn't come is not known.
func TestSendWithoutConnection(t *testing.T) {
	t.Parallel()
	dead := httptest.NewServer(nil)
	dead.Close()
	r := newRig(t, func(r *rig) { r.cfg.APIURL = dead.URL })
	e := letter(7006, line("32.4"))
	if got := r.ch.Send(t.Context(), e); got != (delivery.Outcome{Result: delivery.Later}) {
		t.Errorf("%+v, want later", got)
	}
	slow := newRig(t)
	slow.api.User(7006, "Kenji", "ja").Start("")
	slow.api.Fault(standin.Fault{Method: "sendMessage", Hang: true})
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	go func() {
		slow.api.Wait(func() bool { return len(slow.api.Calls("sendMessage")) == 1 })
		cancel() // it arrived, and nobody answers
	}()
	if got := slow.ch.Send(ctx, letter(7006, line("x"))); got.Result != delivery.Unsure {
		t.Errorf("no answer in time: %+v, want unsure", got)
	}
	if got := slow.ch.Send(ctx, letter(7006, line("x"))); got.Result != delivery.Later {
		t.Errorf("time was over before it was sent: %+v, want later", got)
	}
}

// One chat that gets too much waits alone; several in a short while mean that
// the bot sends too much.
func TestThrottledChatOrBot(t *testing.T) {
	t.Parallel()
	now := noon
	r := newRig(t, func(r *rig) { r.cfg.Now = func() time.Time { return now } })
	for id := int64(1); id <= 5; id++ {
		r.api.User(id, "x", "").Start("")
	}
	r.api.Fault(standin.Fault{Method: "sendMessage", Status: 429, RetryAfter: 3, Times: -1,
		Description: "Too Many Requests: retry after 3"})
	send := func(id int64) delivery.Result { return r.ch.Send(t.Context(), letter(id, line("x"))).Result }
	got := []delivery.Result{send(1), send(1), send(1), send(2), send(3), send(1)}
	now = now.Add(throttleWindow + time.Second)
	got = append(got, send(4))
	want := []delivery.Result{delivery.Later, delivery.Later, delivery.Later, delivery.Later, delivery.Paused,
		delivery.Paused, delivery.Later}
	if !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

func TestSendToNobody(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for _, a := range []roster.Address{{}, {Channel: "web", ID: "7"}, {Channel: "telegram"},
		{Channel: "telegram", ID: "0"},
		{Channel: "telegram", ID: "@somebody"}, {Channel: "telegram", ID: "7/x"},
		{Channel: "telegram", ID: "99999999999999999999"}} {
		if got := r.ch.Send(t.Context(), envelope(a, message.Message{Lines: []message.Line{line("x")}})); got != never(
			ReasonNoChat) {
			t.Errorf("to %+v: %+v", a, got)
		}
	}
	if n := len(r.api.Transcript()); n != 0 {
		t.Errorf("%d requests", n)
	}
}

// What can't be sent is refused before the server sees it, and logged.
func TestSendRefusesWhatTheServerWould(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.api.User(7001, "Tomasz", "pl").Start("")
	for name, m := range map[string]message.Message{
		"data over 64 bytes": {Lines: []message.Line{line("x")},
			Buttons: buttons(message.Button{Label: line("x"), Do: strings.Repeat("x", 54)})},
		"multi-byte data": {Lines: []message.Line{line("x")},
			Buttons: buttons(message.Button{Label: line("x"), Do: strings.Repeat("é", 27)})},
		"button without name": {Lines: []message.Line{line("x")}, Buttons: buttons(message.Button{Do: "x"})},
		"nothing":             {},
		"only gaps":           {Lines: []message.Line{{Style: message.Gap}, {Style: message.Gap}}},
		"only buttons":        {Buttons: buttons(message.Button{Label: line("x"), Do: "x"})},
	} {
		if got := r.ch.Send(t.Context(), envelope(private(7001), m)); got != never(ReasonRefused) {
			t.Errorf("%s: %+v", name, got)
		}
	}
	broken := letter(7001)
	broken.Payload = json.RawMessage(`{"lines":7}`)
	if got := r.ch.Send(t.Context(), broken); got != never(ReasonRefused) {
		t.Errorf("unreadable payload: %+v", got)
	}
	if n := len(r.api.Calls("sendMessage")); n != 0 {
		t.Errorf("%d requests", n)
	}
	fits := message.Message{Lines: []message.Line{line("x")},
		Buttons: buttons(message.Button{Label: line("x"), Do: strings.Repeat("x", 53)})}
	if got := r.ch.Send(t.Context(), envelope(private(7001), fits)); got.Result != delivery.Sent {
		t.Errorf("64 bytes of data: %+v", got)
	}
}

// A link that a button can't carry, as in a service on localhost, is written out.
func TestSendWritesLinksOutThatNoButtonTakes(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	tomasz := r.api.User(7001, "Tomasz", "pl")
	tomasz.Start("")
	m := message.Message{Lines: []message.Line{line("x")},
		Buttons: buttons(message.Button{Label: line("Page"), URL: "http://localhost:8080/c/a?b&c"})}
	if got := r.ch.Send(t.Context(), envelope(private(7001), m)); got.Result != delivery.Sent {
		t.Fatal(got)
	}
	got := tomasz.Messages()[0]
	if want := "x, end\nPage, end: http://localhost:8080/c/a?b&c"; got.Text != want || got.Buttons != nil {
		t.Errorf("text %q with %v, want %q", got.Text, got.Buttons, want)
	}
}

// A markup bug must not keep the words from anybody.
func TestSendAsPlainTextWhenMarkupIsRefused(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	tomasz := r.api.User(7001, "Tomasz", "pl")
	tomasz.Start("")
	r.api.Fault(standin.Fault{Method: "sendMessage", Status: 400,
		Description: "Bad Request: can't parse entities: Unsupported start tag \"Tomasz\" at byte offset 3"})
	l := line("⛔ STOP & <think>")
	l.Style = message.Strong
	m := message.Message{Lines: []message.Line{l}, Buttons: buttons(message.Button{Label: line("Undo"), Do: "undo"})}
	if got := r.ch.Send(t.Context(), envelope(private(7001), m)); got.Result != delivery.Sent {
		t.Fatal(got)
	}
	got := tomasz.Messages()
	if len(got) != 1 || got[0].Text != "⛔\u00a0STOP & <think>, end" || len(got[0].Entities) != 0 ||
		len(got[0].Buttons) != 1 {
		t.Errorf("messages %+v", got)
	}
	if r.ch.Unparsed() != 1 {
		t.Errorf("%d counted, want 1", r.ch.Unparsed())
	}
	if log := r.log.String(); !strings.Contains(log, "level=ERROR") || strings.Contains(log, "Tomasz") {
		t.Errorf("log:\n%s", log)
	}
	r.api.Fault(standin.Fault{Method: "sendMessage", Times: 2, Status: 400,
		Description: "Bad Request: can't parse entities: x"})
	if got := r.ch.Send(t.Context(), letter(7001, line("x"))); got != never(ReasonRefused) {
		t.Errorf("refused twice: %+v", got)
	}
}

// A long message is split; when it stops in the middle, the next attempt goes
// on with the part that is missing.
func TestSendLongMessageResumes(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	var lines []message.Line
	for i := range 300 {
		lines = append(lines, line(fmt.Sprintf("%03d. a line of the board, with a & and a name", i)))
	}
	m := message.Message{Lines: lines, Buttons: buttons(message.Button{Label: line("Sign off"), Do: "signoff"})}
	e := envelope(private(7000), m)
	whole := strings.Split(r.ch.render.Text(m, message.Reader{Language: "en"}, message.Plain), "\n")

	ok := func(n int) {
		t.Helper()
		if got := len(ines.Messages()); got != n {
			t.Fatalf("%d parts arrived, want %d", got, n)
		}
	}
	r.api.Fault(standin.Fault{Method: "sendMessage", Skip: 1, Status: 429, RetryAfter: 2,
		Description: "Too Many Requests: retry after 2"})
	if got := r.ch.Send(t.Context(), e); got.Result != delivery.Later {
		t.Fatalf("outcome %+v, want later", got)
	}
	ok(1)
	r.api.Fault(standin.Fault{Method: "sendMessage", Skip: 1, Drop: true})
	if got := r.ch.Send(t.Context(), e); got.Result != delivery.Unsure {
		t.Fatalf("outcome %+v, want unsure", got)
	}
	ok(2)
	if got := r.ch.Send(t.Context(), e); got.Result != delivery.Sent {
		t.Fatalf("outcome %+v, want sent", got)
	}
	parts := ines.Messages()
	if len(parts) < 3 {
		t.Fatalf("%d parts, want several", len(parts))
	}
	var got []string
	for i, p := range parts {
		if units(p.Text) > maxUnits {
			t.Errorf("part %d has %d units", i, units(p.Text))
		}
		if (len(p.Buttons) > 0) != (i == len(parts)-1) {
			t.Errorf("part %d of %d has buttons %v", i, len(parts), p.Buttons)
		}
		got = append(got, strings.Split(p.Text, "\n")...)
	}
	if !cmp.Equal(got, whole) {
		t.Error(cmp.Diff(whole, got))
	}
	if got := r.ch.Send(t.Context(), e); got.Result != delivery.Sent || len(ines.Messages()) != len(parts) {
		t.Errorf("sending again what was sent: %+v and %d messages, want no more", got, len(ines.Messages()))
	}
}

func TestProgressIsBounded(t *testing.T) {
	t.Parallel()
	var p progress
	for i := range 3 * maxProgress {
		p.note(fmt.Sprint(i), 1)
		p.note(fmt.Sprint(i), 2)
	}
	if len(p.parts) != maxProgress || len(p.order) != maxProgress {
		t.Errorf("%d and %d remembered, want %d", len(p.parts), len(p.order), maxProgress)
	}
	last := fmt.Sprint(3*maxProgress - 1)
	if got := p.sent(last); got != 2 {
		t.Errorf("the newest has %d parts, want 2", got)
	}
}

// A message that may have arrived says so when it is repeated.
func TestSendSaysThatItRepeats(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	tomasz := r.api.User(7001, "Tomasz", "pl")
	tomasz.Start("")
	e := letter(7001, line("⛔ STOP, NO-GO"))
	e.Unsure = true
	r.ch.Send(t.Context(), e)
	if got := tomasz.Messages()[0].Text; !strings.HasPrefix(got, "Sent again") ||
		!strings.Contains(got, "STOP, NO\u2011GO") {
		t.Errorf("text %q", got)
	}
}

// The menu of commands follows the role, and a chat that could not get it gets
// it with the next message.
func TestMenus(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	ines, tomasz := r.api.User(7000, "Inês", "pt"), r.api.User(7001, "Tomasz", "pl")
	ines.Start("")
	tomasz.Start("")
	send := func(to int64, role string) {
		t.Helper()
		m := message.Message{Lines: []message.Line{line("x")}, Commands: role}
		if out := r.ch.Send(t.Context(), envelope(private(to), m)); out.Result != delivery.Sent {
			t.Fatal(out)
		}
		r.ch.later.wait()
	}
	names := func(id int64) (list []string) {
		for _, c := range r.api.Menu(id) {
			list = append(list, c.Command)
			if c.Description == "" || strings.Contains(c.Description, "⟦") {
				t.Errorf("/%s is described as %q", c.Command, c.Description)
			}
		}
		return list
	}
	if got := names(7001); !cmp.Equal(got, defaultMenu) {
		t.Error(cmp.Diff(defaultMenu, got))
	}
	r.api.Fault(standin.Fault{Method: "setMyCommands", Status: 500, Description: "Internal Server Error"})
	send(7001, "diver")
	send(7001, "") // any message brings the menu that failed
	send(7000, "leader")
	if got, want := names(7001), conversation.Commands("diver"); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	if got, want := names(7000), conversation.Commands("leader"); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	send(7001, "leader")
	if got, want := names(7001), conversation.Commands("leader"); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	// Who may start trips finds that first, on a trip or on none.
	r.ch.cfg.IsHost = func(_ context.Context, a roster.Address) bool { return a.ID == "7000" }
	send(7000, "host")
	if got, want := names(7000), append([]string{"newtrip"}, defaultMenu...); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	send(7000, "crew")
	if got, want := names(7000), append([]string{"newtrip"}, conversation.Commands("crew")...); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

// In a group the answer goes to the group and its topic; when the topic is
// gone, or is the general one, to the group.
func TestSendToTopics(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	g := r.api.Group(-10055, "Saturday two-tank")
	g.Topic(77)
	send := func(a chat) int64 {
		t.Helper()
		if out := r.ch.Send(t.Context(), envelope(a.address(),
			message.Message{Lines: []message.Line{line("x")}})); out.Result != delivery.Sent {
			t.Fatal(out)
		}
		all := g.Messages()
		return all[len(all)-1].Thread
	}
	got := []int64{send(chat{-10055, 77}), send(chat{-10055, 0}), send(chat{-10055, 1})}
	g.CloseTopic(77)
	got = append(got, send(chat{-10055, 77}))
	if want := []int64{77, 0, 0, 0}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

func TestDirectReply(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
		return &delivery.Reply{Message: message.Message{Lines: []message.Line{line("on no trip")}}}, nil
	}
	g := r.api.Group(-55, "Saturday two-tank")
	aoife := r.api.User(7003, "Aoife", "en")
	aoife.Start("x")
	aoife.Await("on no trip")
	g.Send(aoife, "/missing")
	g.Await("on no trip")
}
