package telegram

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/telegram/standin"
)

const textUpdate = `{"update_id":%d,"message":{"message_id":5,"date":1795592000,"text":"32.4","chat":{"id":7001,"type":"private"},"from":{"id":7001}}}`

// answer posts an update as the server does and returns the whole answer.
func answer(h http.Handler, method, secret string, body io.Reader) *http.Response {
	req := httptest.NewRequest(method, "/telegram/webhook", body)
	if secret != "" {
		req.Header.Set(secretHeader, secret)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, req)
	return w.Result()
}

// A post that is far too long is read to its end: the connection stays.
func TestWebhookKeepsTheConnection(t *testing.T) {
	t.Parallel()
	r := newRig(t, byWebhook).run()
	long := strings.NewReader(`{"update_id":1,"x":"` + strings.Repeat("x", 5<<20) + `"}`)
	answer(r.ch, "POST", secret, long)
	if long.Len() != 0 {
		t.Errorf("%d bytes left unread", long.Len())
	}
}

type brokenBody struct{}

func (brokenBody) Read([]byte) (int, error) { return 0, errors.New("connection lost") }

func TestWebhookStatus(t *testing.T) {
	t.Parallel()
	good := fmt.Sprintf(textUpdate, 1)
	for name, c := range map[string]struct {
		method, secret string
		body           io.Reader
		fails          error
		want           int
		stored         int
	}{
		"an update":             {"POST", secret, strings.NewReader(good), nil, 200, 1},
		"no secret":             {"POST", "", strings.NewReader(good), nil, 401, 0},
		"wrong secret":          {"POST", "hook_secret-2", strings.NewReader(good), nil, 401, 0},
		"half a secret":         {"POST", secret[:5], strings.NewReader(good), nil, 401, 0},
		"no secret comes first": {"GET", "", brokenBody{}, nil, 401, 0},
		"not POST":              {"GET", secret, http.NoBody, nil, 405, 0},
		"nothing":               {"POST", secret, http.NoBody, nil, 200, 0},
		"not JSON":              {"POST", secret, strings.NewReader("<html>"), nil, 200, 0},
		"a list":                {"POST", secret, strings.NewReader("[" + good + "]"), nil, 200, 0},
		"two updates in one":    {"POST", secret, strings.NewReader(good + good), nil, 200, 0},
		"deep":                  {"POST", secret, strings.NewReader(strings.Repeat("[", 100000)), nil, 200, 0},
		"no id":                 {"POST", secret, strings.NewReader(`{"message":{"text":"32.4"}}`), nil, 200, 0},
		"over 1 MiB": {"POST", secret,
			strings.NewReader(`{"update_id":1,"x":"` + strings.Repeat("x", 1<<20) + `"}`), nil, 200, 0},
		"body breaks off":           {"POST", secret, brokenBody{}, nil, 503, 0},
		"store down":                {"POST", secret, strings.NewReader(good), errStoreDown, 503, 0},
		"store down, means nothing": {"POST", secret, strings.NewReader(`{"update_id":3,"poll":{}}`), errStoreDown, 200, 0},
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, byWebhook)
			r.desk.answer = func(delivery.Inbound) (*delivery.Reply, error) { return nil, c.fails }
			got := answer(r.ch, c.method, c.secret, c.body)
			if got.StatusCode != c.want {
				t.Errorf("status %d, want %d", got.StatusCode, c.want)
			}
			if after := got.Header.Get("Retry-After"); (after != "") != (c.want == 503) {
				t.Errorf("Retry-After %q with status %d", after, got.StatusCode)
			}
			if n := len(r.desk.inbound()); n != c.stored {
				t.Errorf("%d stored, want %d", n, c.stored)
			}
			if strings.Contains(r.log.String(), "32.4") {
				t.Error("the log holds what somebody wrote")
			}
		})
	}
}

// Until the bot knows its name, it can't tell what in a group is meant for it.
func TestGroupWaitsForTheName(t *testing.T) {
	t.Parallel()
	r := newRig(t, byWebhook)
	body := `{"update_id":5,"message":{"message_id":5,"date":1795592000,"text":"/missing@charter_test_bot","chat":{"id":-55,"type":"group"},"from":{"id":7001}}}`
	if got := post(r.ch, secret, body); got != 503 {
		t.Errorf("before getMe: status %d, want 503", got)
	}
	if got := post(r.ch, secret, fmt.Sprintf(textUpdate, 6)); got != 200 {
		t.Errorf("private chat before getMe: status %d, want 200", got)
	}
	if err := r.ch.connect(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := post(r.ch, secret, body); got != 200 || len(r.desk.inbound()) != 2 {
		t.Errorf("after getMe: status %d and %d heard, want 200 and 2", got, len(r.desk.inbound()))
	}
}

// Without a secret of its own the handler lets nobody in, not even somebody
// who sends an empty one.
func TestWebhookIsShutWhilePolling(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for _, given := range []string{"", secret} {
		if got := answer(r.ch, "POST", given, strings.NewReader(fmt.Sprintf(textUpdate, 1))).StatusCode; got != 401 {
			t.Errorf("secret %q: status %d, want 401", given, got)
		}
	}
}

// A panic would come again with every delivery: it is acknowledged, logged,
// and the person learns that nothing was recorded.
func TestHandlerPanics(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]choice{"poll": func(*rig) {}, "webhook": byWebhook} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, c)
			r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
				if in.Text == "bang" {
					panic("32.4 is what somebody wrote")
				}
				return nil, nil
			}
			r.run()
			tomasz := r.api.User(7001, "Tomasz", "pl")
			tomasz.Start("")
			tomasz.Send("bang")
			tomasz.Send("32.0")
			r.heard(2)
			tomasz.Await("NOT RECORDED")
			if got, want := r.desk.texts(), []string{"/start", "32.0"}; !cmp.Equal(got, want) {
				t.Error(cmp.Diff(want, got))
			}
			if log := r.log.String(); !strings.Contains(log, "panicked") || strings.Contains(log, "somebody wrote") {
				t.Errorf("log:\n%s", log)
			}
		})
	}
}

// What can't be stored comes again, in order, until it is.
func TestRedeliveredUntilStored(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]choice{"poll": func(*rig) {}, "webhook": byWebhook} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, c)
			fails := map[string]int{"17: 32.1": 3}
			r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
				r.desk.mu.Lock()
				defer r.desk.mu.Unlock()
				if fails[in.Text] > 0 {
					fails[in.Text]--
					return nil, errStoreDown
				}
				return nil, nil
			}
			tomasz, marit := r.api.User(7001, "Tomasz", "pl"), r.api.User(7002, "Marit", "nb")
			tomasz.Start("")
			tomasz.Send("17: 32.1")
			tomasz.Send("no, 31.4")
			marit.Start("")
			marit.Send("36.0")
			r.run()
			r.heard(5)
			var his, hers []string
			for _, in := range r.desk.inbound() {
				if in.From == private(7001) {
					his = append(his, in.Text)
				} else {
					hers = append(hers, in.Text)
				}
			}
			if want := []string{"/start", "17: 32.1", "no, 31.4"}; !cmp.Equal(his, want) {
				t.Error(cmp.Diff(want, his))
			}
			if want := []string{"/start", "36.0"}; !cmp.Equal(hers, want) {
				t.Error(cmp.Diff(want, hers))
			}
		})
	}
}

// A message that fails holds up its own chat, never the others.
func TestOneChatHeldUp(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]choice{"poll": func(*rig) {}, "webhook": byWebhook} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, c)
			r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
				if in.From == private(7001) {
					return nil, errStoreDown
				}
				return nil, nil
			}
			r.api.User(7001, "Tomasz", "pl").Start("")
			marit := r.api.User(7002, "Marit", "nb")
			marit.Start("")
			r.run()
			marit.Send("36.0")
			if !r.api.Wait(func() bool { return len(r.desk.inbound()) >= 2 }) {
				t.Fatal("the other chat was held up too")
			}
			marit.Send("36.1")
			if !r.api.Wait(func() bool { return len(r.desk.inbound()) >= 3 }) {
				t.Fatal("the other chat was held up too")
			}
			if got, want := r.desk.texts(), []string{"/start", "36.0", "36.1"}; !cmp.Equal(got, want) {
				t.Error(cmp.Diff(want, got))
			}
		})
	}
}

// An update that arrives twice reaches the handler twice, which knows it by its
// source; a direct answer is given once.
func TestDeliveredTwice(t *testing.T) {
	t.Parallel()
	r := newRig(t, byWebhook).run()
	r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
		return &delivery.Reply{Message: message.Message{Lines: []message.Line{line("who are you")}}, Language: in.Language},
			nil
	}
	aoife := r.api.User(7003, "Aoife", "en")
	r.api.DeliverTwice(2)
	aoife.Start("")
	aoife.Send("32.4")
	got := r.heard(4)
	if got[0].Source != got[1].Source || got[2].Source != got[3].Source || got[0].Source == got[2].Source {
		t.Errorf("sources: %q %q %q %q", got[0].Source, got[1].Source, got[2].Source, got[3].Source)
	}
	r.ch.later.wait()
	if n := len(aoife.Messages()); n != 2 {
		t.Errorf("%d direct answers, want 2", n)
	}
}

func TestEveryButtonIsAnswered(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		fails error
		says  string
	}{"stored": {nil, ""}, "not stored": {errStoreDown, "NOT RECORDED"}} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, byWebhook).run()
			yusuf := r.api.User(7004, "Yusuf", "tr")
			yusuf.Start("")
			r.heard(1)
			m := message.Message{Lines: []message.Line{line("which?")},
				Buttons: [][]message.Button{{{Label: line("Undo"), Do: "undo r1"}}}}
			if out := r.ch.Send(t.Context(), envelope(private(7004), m)); out.Result != delivery.Sent {
				t.Fatal(out)
			}
			r.desk.answer = func(delivery.Inbound) (*delivery.Reply, error) { return nil, c.fails }
			if !yusuf.Press("Undo, end").Answered() {
				t.Fatal("not answered")
			}
			text := r.api.Calls("answerCallbackQuery")[0].Params["text"]
			if (c.says == "") != (text == "") || !strings.Contains(text, c.says) || units(text) > 200 {
				t.Errorf("answered with %q, want %q", text, c.says)
			}
		})
	}
}

// The health of a webhook can only be asked for.
func TestWebhookIsWatched(t *testing.T) {
	t.Parallel()
	r := newRig(t, byWebhook).run()
	r.desk.answer = func(delivery.Inbound) (*delivery.Reply, error) { return nil, errStoreDown }
	r.api.User(7001, "Tomasz", "pl").Start("")
	if !r.api.Wait(func() bool { return len(r.api.Calls("webhook")) > 0 }) {
		t.Fatal("nothing delivered")
	}
	seen := r.ch.inspectWebhook(t.Context(), 0)
	if !strings.Contains(r.log.String(), "trouble delivering") || seen == 0 {
		t.Errorf("seen %d, log:\n%s", seen, r.log)
	}
	if _, err := r.ch.api.call(t.Context(), "setWebhook",
		map[string]string{"url": "http://127.0.0.1:1/other"}); err != nil {
		t.Fatal(err)
	}
	r.ch.inspectWebhook(t.Context(), seen)
	if address, given := r.api.Webhook(); address != r.cfg.WebhookURL || given != secret {
		t.Errorf("webhook %q, secret %q after somebody changed it", address, given)
	}
	r.api.Fault(standin.Fault{Method: "getWebhookInfo", Status: 500, Description: "Internal Server Error"})
	if got := r.ch.inspectWebhook(t.Context(), seen); got != seen {
		t.Errorf("seen %d after a failure, want %d", got, seen)
	}
}

// Whatever comes, the webhook answers 200, 401 or 503 and does not panic.
func FuzzWebhook(f *testing.F) {
	for _, seed := range []string{
		fmt.Sprintf(textUpdate, 1), `{}`, `[]`, `null`, `{"update_id":1}`,
		`{"update_id":1,"edited_message":{"message_id":1,"edit_date":9,"caption":"x","chat":{"id":-5,"type":"supergroup"},"from":{"id":5}}}`,
		`{"update_id":2,"callback_query":{"id":"4","from":{"id":5},"data":"abcdefgh23|undo r1","message":{"message_id":1,"chat":{"id":5,"type":"private"}}}}`,
		`{"update_id":3,"my_chat_member":{"chat":{"id":5,"type":"private"},"new_chat_member":{"status":"kicked"}}}`,
		`{"update_id":4,"message":{"migrate_to_chat_id":-1001,"chat":{"id":-5,"type":"group"}}}`,
		`{"update_id":5,"message":{"text":"/@","chat":{"id":-5,"type":"group"},"from":{"id":5},"reply_to_message":{"from":null}}}`,
		`{"update_id":5,"message":{"text":"/ \u0000 ","is_topic_message":true,"message_thread_id":-1,"chat":{"id":-5,"type":"group"},"from":{"id":5}}}`,
		`{"update_id":-9223372036854775808,"message":{"text":"\ud800","date":9223372036854775807,"chat":{"id":5,"type":"private"},"from":{"id":5}}}`,
	} {
		f.Add([]byte(seed), true, false)
	}
	f.Add([]byte("x"), false, false)
	f.Add([]byte(fmt.Sprintf(textUpdate, 1)), true, true)
	fails := false
	r := newRig(f, byWebhook)
	r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
		if in.Kind == "" || in.Source == "" || in.From.ID == "" {
			f.Errorf("half an event: %+v", in)
		}
		if _, ok := parseChat(in.From); !ok {
			f.Errorf("no chat: %+v", in.From)
		}
		if fails {
			return nil, errStoreDown
		}
		return nil, nil
	}
	if err := r.ch.connect(f.Context()); err != nil {
		f.Fatal(err)
	}
	r.hook.Close()
	f.Fuzz(func(t *testing.T, body []byte, known, down bool) {
		fails = down
		given := ""
		if known {
			given = secret
		}
		got := answer(r.ch, "POST", given, bytes.NewReader(body)).StatusCode
		switch {
		case !known && got != 401, known && got != 200 && !(down && got == 503):
			t.Errorf("status %d (secret known %v, store down %v)", got, known, down)
		}
		r.desk.mu.Lock()
		r.desk.got = nil
		r.desk.mu.Unlock()
	})
}
