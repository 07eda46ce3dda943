package telegram

// Each test here is named after a trap of the Bot API or of the library that
// the channel has to step round.

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/telegram/standin"
)

func upload(name string, size int) tgbotapi.RequestFile {
	return tgbotapi.RequestFile{Name: "document",
		Data: tgbotapi.FileBytes{Name: name, Bytes: bytes.Repeat([]byte("x"), size)}}
}

// A dead network puts the whole address, and so the token, into every error.
func TestTrapTokenInErrorsAndLogs(t *testing.T) {
	t.Parallel()
	const dead = "http://127.0.0.1:1" // nobody listens there
	cuts := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter,
		r *http.Request) {
		panic(http.ErrAbortHandler)
	}))
	cuts.Config.ErrorLog = nil
	defer cuts.Close()
	elsewhere := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "http://127.0.0.1:1"+r.URL.Path, http.StatusFound)
	}))
	defer elsewhere.Close()
	echo := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		fmt.Fprintf(w, `{"ok":false,"error_code":400,"description":"Bad Request: no route %s"}`, r.URL.Path)
	}))
	defer echo.Close()
	for name, address := range map[string]string{"refused": dead, "cut": cuts.URL, "redirected": elsewhere.URL,
		"echoed": echo.URL, "no such host": "http://gasmuster.invalid",
		"not HTTP": "https://" + strings.TrimPrefix(cuts.URL, "http://")} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, func(r *rig) { r.cfg.APIURL = address })
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
			defer cancel()
			for _, err := range []error{
				r.ch.connect(ctx), r.ch.setWebhook(ctx), r.ch.deleteWebhook(ctx), second(r.ch.api.call(ctx, "sendMessage", nil)),
				second(r.ch.api.call(ctx, "sendDocument", nil, upload("a.csv", 10))), second((&poller{c: r.ch}).fetch(ctx)),
			} {
				if err == nil {
					t.Fatal("no error")
				}
				noToken(t, "error", fmt.Sprintf("%v %+v %#v", err, err, errors.Unwrap(err)), r.api.Token)
				r.ch.complain("x", err)
			}
			out := r.ch.Send(ctx, letter(1, line("x")))
			noToken(t, "outcome", fmt.Sprintf("%+v", out), r.api.Token)
			r.ch.answerCallback("cb1", "")
			r.ch.offerMenu(chat{id: 1}, "diver", "en")
			r.ch.setDefaultMenu(ctx)
			r.ch.inspectWebhook(ctx, 0)
			r.ch.later.wait()
			noToken(t, "log", r.log.String(), r.api.Token)
		})
	}
}

func second[T any](_ T, err error) error { return err }

// The token would stand in the error of a malformed address.
func TestTrapTokenInSettingErrors(t *testing.T) {
	t.Parallel()
	token := "4242424242:AAsecretsecretsecret"
	for _, c := range []Config{
		{Token: token, APIURL: "http://[" + token}, {Token: token, APIURL: "ftp://x/" + token},
		{Token: token, APIURL: "http://x?" + token},
		{Token: token + "\x7f"}, {Token: token + " "}, {Token: token, Mode: token}, {Token: "x" + token},
	} {
		_, err := New(c)
		if err == nil {
			t.Errorf("New(%q, %q): no error", c.Token, c.APIURL)
			continue
		}
		if c.Mode == "" {
			noToken(t, "error", err.Error(), token)
		}
	}
}

// The library sets no error code for a request that uploads a file.
func TestTrapUploadsLoseErrorCode(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	marit := r.api.User(7002, "Marit", "nb")
	marit.Start("")
	marit.Block()
	_, err := r.ch.api.call(t.Context(), "sendDocument", tgbotapi.Params{"chat_id": "7002"}, upload("record.csv", 100))
	var f *fault
	if !errors.As(err, &f) || f.code != 403 || f.status != 403 {
		t.Fatalf("upload to a blocked chat: %v, want a fault with code 403", err)
	}
	if got, want := r.ch.judge(chat{id: 7002}, err), never(ReasonBlocked); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	marit.Unblock()
	if _, err := r.ch.api.call(t.Context(), "sendDocument", tgbotapi.Params{"chat_id": "7002"},
		upload("record.csv", 100)); err != nil {
		t.Errorf("upload: %v", err)
	}
	r.api.Fault(standin.Fault{Method: "sendDocument", Status: 429, RetryAfter: 7,
		Description: "Too Many Requests: retry after 7"})
	_, err = r.ch.api.call(t.Context(), "sendDocument", tgbotapi.Params{"chat_id": "7002"}, upload("record.csv", 100))
	if got := r.ch.judge(chat{id: 7002}, err); got.Result != delivery.Later || got.After != 7*time.Second {
		t.Errorf("upload refused with 429: %+v, want later in 7 s", got)
	}
}

// An answer without a code of its own has that of the HTTP status.
func TestTrapCodeOnlyInStatus(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.api.Fault(standin.Fault{Method: "sendMessage", Status: 403,
		Page: `{"ok":false,"description":"Forbidden: bot was blocked by the user"}`})
	if got := r.ch.Send(t.Context(), letter(7002, line("x"))); got != never(ReasonBlocked) {
		t.Errorf("outcome %+v", got)
	}
}

// The library's webhook settings have no secret.
func TestTrapNoSecretToken(t *testing.T) {
	t.Parallel()
	r := newRig(t, byWebhook).run()
	address, given := r.api.Webhook()
	if address != r.cfg.WebhookURL || given != secret {
		t.Errorf("webhook is %q with secret %q, want %q with %q", address, given, r.cfg.WebhookURL, secret)
	}
	set := r.api.Calls("setWebhook")[0].Params
	if _, drops := set["drop_pending_updates"]; drops {
		t.Error("setWebhook drops what people sent meanwhile")
	}
	if set["max_connections"] == "" {
		t.Error("setWebhook without max_connections")
	}
}

// The server keeps the last list of wanted updates, and takes the library's
// null for "as before".
func TestTrapStickyAllowedUpdates(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]choice{"poll": func(*rig) {}, "webhook": byWebhook} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, c)
			if _, err := r.ch.api.call(t.Context(), "getUpdates",
				tgbotapi.Params{"allowed_updates": `["poll"]`, "timeout": "0"}); err != nil {
				t.Fatal(err)
			}
			r.run()
			if !r.api.Wait(func() bool { return cmp.Equal(r.api.Allowed(), allowedUpdates) }) {
				t.Errorf("allowed updates: %q, want %q", r.api.Allowed(), allowedUpdates)
			}
		})
	}
}

// The library writes lists that it was not given as null.
func TestTrapNullParameters(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	tomasz := r.api.User(7001, "Tomasz", "pl")
	tomasz.Start("")
	m := message.Message{Lines: []message.Line{line("32.4")}, Commands: "leader",
		Buttons: [][]message.Button{{{Label: line("Undo"), Do: "undo r1"}}}}
	if out := r.ch.Send(t.Context(), envelope(private(7001), m)); out.Result != delivery.Sent {
		t.Fatal(out)
	}
	tomasz.Press("Undo, end")
	r.heard(2)
	r.ch.later.wait()
	for _, e := range r.api.Transcript() {
		for name, v := range e.Params {
			if v == "null" {
				t.Errorf("%s sends %s=null", e.Method, name)
			}
		}
	}
}

// One update that can't be decoded makes the library fetch the same batch for ever.
func TestTrapPoisonedBatch(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]choice{"poll": func(*rig) {}, "webhook": byWebhook} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, c)
			tomasz := r.api.User(7001, "Tomasz", "pl")
			tomasz.Start("code")
			for i, body := range []string{
				`{"update_id":%d,"message":{"message_id":1,"date":1,"text":17,"chat":{"id":7001,"type":"private"},"from":{"id":7001}}}`,
				`{"update_id":%d,"message":"none"}`, `{"update_id":%d,"message":[[[]]]}`,
				`{"update_id":%d,"message":{"from":{"id":"x"}}}`,
				`{"update_id":%d,"callback_query":{"from":1e99}}`,
			} {
				id := r.api.NextUpdate()
				r.api.DeliverRaw(id, fmt.Sprint("poison ", i), fmt.Appendf(nil, body, id))
			}
			tomasz.Send("32.4 of mine") // no time of day looks like it
			r.run()
			r.heard(2)
			if got, want := r.desk.texts(), []string{"/start code", "32.4 of mine"}; !cmp.Equal(got, want) {
				t.Error(cmp.Diff(want, got))
			}
			if n := strings.Count(r.log.String(), "it can't be read"); n != 5 {
				t.Errorf("%d updates logged as unreadable, want 5", n)
			}
			if strings.Contains(r.log.String(), "32.4 of mine") {
				t.Error("the log holds what people wrote")
			}
		})
	}
}

// Bodies that make the library's helpers panic: entity lengths beyond the
// text, inline buttons without a chat, no sender.
func TestTrapPanickingHelpers(t *testing.T) {
	t.Parallel()
	r := newRig(t, byWebhook)
	if err := r.ch.connect(t.Context()); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		body string
		want int // inbound events
	}{
		"entity longer than the text": {`{"update_id":1,"message":{"message_id":1,"date":1,"text":"/a","entities":[{"type":"bot_command","offset":0,"length":99}],"chat":{"id":7,"type":"private"},"from":{"id":7}}}`, 1},
		"negative entity":             {`{"update_id":2,"message":{"message_id":1,"date":1,"text":"/a","entities":[{"type":"bot_command","offset":-5,"length":-9}],"chat":{"id":7,"type":"private"},"from":{"id":7}}}`, 1},
		"inline button":               {`{"update_id":3,"callback_query":{"id":"1","from":{"id":7},"inline_message_id":"x","data":"undo"}}`, 1},
		"button without sender":       {`{"update_id":4,"callback_query":{"id":"1","data":"undo"}}`, 0},
		"button of an old message":    {`{"update_id":5,"callback_query":{"id":"1","from":{"id":7},"message":{"message_id":3,"date":0,"chat":{"id":7,"type":"private"}},"data":"undo"}}`, 1},
		"no sender":                   {`{"update_id":6,"message":{"message_id":1,"date":1,"text":"x","chat":{"id":-7,"type":"group"}}}`, 0},
		"channel post":                {`{"update_id":7,"channel_post":{"message_id":1,"date":1,"text":"x","chat":{"id":-7,"type":"channel"}}}`, 0},
		"nothing":                     {`{"update_id":8}`, 0},
		"nulls":                       {`{"update_id":9,"message":null,"callback_query":null,"my_chat_member":{}}`, 0},
		"poll":                        {`{"update_id":10,"poll":{"id":"1"}}`, 0},
	} {
		t.Run(name, func(t *testing.T) {
			before := len(r.desk.inbound())
			if got := post(r.ch, secret, c.body); got != 200 {
				t.Errorf("status %d, want 200", got)
			}
			if got := len(r.desk.inbound()) - before; got != c.want {
				t.Errorf("%d inbound events, want %d", got, c.want)
			}
		})
	}
}

func post(h http.Handler, secret, body string) int {
	req := httptest.NewRequest(http.MethodPost, "/telegram/webhook", strings.NewReader(body))
	req.Header.Set(secretHeader, secret)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, req)
	return w.Code
}

// A custom client that returns early without closing the body leaves the
// upload's writer waiting for ever.
func TestTrapUploadWriterLeaks(t *testing.T) {
	r := newRig(t)
	other := newRig(t, func(r *rig) { r.cfg.APIURL = "http://127.0.0.1:1" }) // nobody listens there
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	for range 50 {
		_, _ = r.ch.api.call(gone, "sendDocument", nil, upload("a", 1<<20))
		_, _ = other.ch.api.call(t.Context(), "sendDocument", nil, upload("a", 1<<20))
	}
	for end := time.Now().Add(time.Minute); ; runtime.Gosched() {
		stacks := make([]byte, 1<<20)
		stacks = stacks[:runtime.Stack(stacks, true)]
		n := strings.Count(string(stacks), "UploadFiles.func")
		if n == 0 {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("%d upload writers still wait", n)
		}
	}
}

// The library prints by itself, addresses and token included, and its logger
// may be set only before anything runs. The child process does what makes it print.
func TestTrapLibraryPrints(t *testing.T) {
	t.Parallel()
	cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run=TestLibraryPrintsChild", "-test.v")
	cmd.Env = append(os.Environ(), "TELEGRAM_CHILD=1")
	out, err := cmd.CombinedOutput()
	if err != nil || !strings.Contains(string(out), "child was here") {
		t.Fatalf("child: %v\n%s", err, out)
	}
	noToken(t, "output", string(out), childToken)
}

const childToken = "4242424242:AAchildchildchild"

func TestLibraryPrintsChild(t *testing.T) {
	if os.Getenv("TELEGRAM_CHILD") == "" {
		t.Skip("only runs as a child of TestTrapLibraryPrints")
	}
	var all sync.WaitGroup
	for range 8 { // the logger is set once, however many channels there are
		all.Go(func() {
			if _, err := New(Config{Token: childToken, Handler: &desk{}, Answer: func(roster.Envelope) {},
				Renderer: message.New(), APIURL: "http://127.0.0.1:1"}); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	bot := tgbotapi.BotAPI{Token: childToken, Client: http.DefaultClient, Debug: true}
	bot.SetAPIEndpoint("http://127.0.0.1:1/bot%s/%s")
	_, _ = bot.MakeRequest("getUpdates", tgbotapi.Params{"x": childToken})
	fmt.Println("child was here")
}

// The library's poller can't be stopped in the middle of a poll and panics when
// it is stopped twice.
func TestTrapStopIsPromptAndHarmless(t *testing.T) {
	t.Parallel()
	r := newRig(t, func(r *rig) { r.cfg.PollTimeout = time.Hour }).run()
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		r.stop()
		r.stop()
	}()
	select {
	case <-stopped:
	case <-time.After(time.Minute):
		t.Fatal("a minute later it has not stopped: it waits for the end of its poll")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := r.ch.Run(ctx); err != nil {
		t.Errorf("Run after the end: %v", err)
	}
}

// The library's poller confirms updates that nobody has handled yet.
func TestTrapConfirmedBeforeHandled(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	var mu sync.Mutex
	down := true
	tries := 0
	r.desk.answer = func(delivery.Inbound) (*delivery.Reply, error) {
		mu.Lock()
		defer mu.Unlock()
		tries++
		if down && tries < 3 {
			if r.api.Pending() == 0 {
				t.Error("confirmed although not stored")
			}
			return nil, errStoreDown
		}
		return nil, nil
	}
	r.api.User(7001, "Tomasz", "pl").Start("code")
	r.run()
	r.heard(1)
	if tries != 3 {
		t.Errorf("handled %d times, want 3", tries)
	}
}

// Methods that return a Boolean fail in the library's Send although they
// succeeded; repeating them doubles what they do.
func TestTrapBooleanResults(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	tomasz := r.api.User(7001, "Tomasz", "pl")
	tomasz.Start("")
	m := message.Message{Lines: []message.Line{line("hello")}, Commands: "diver",
		Buttons: [][]message.Button{{{Label: line("Undo"), Do: "undo r1"}}}}
	for range 3 {
		if out := r.ch.Send(t.Context(), envelope(private(7001), m)); out.Result != delivery.Sent {
			t.Fatal(out)
		}
	}
	if !tomasz.Press("Undo, end").Answered() {
		t.Error("a pressed button was not answered")
	}
	r.ch.later.wait()
	if got := len(r.api.Calls("answerCallbackQuery")); got != 1 {
		t.Errorf("%d answers to one button, want 1", got)
	}
	menus := 0
	for _, e := range r.api.Calls("setMyCommands") {
		if strings.Contains(e.Params["scope"], "7001") {
			menus++
		}
	}
	if menus != 1 {
		t.Errorf("the chat's menu was set %d times, want once", menus)
	}
	if strings.Contains(r.log.String(), "level=WARN") {
		t.Errorf("something was taken for a failure:\n%s", r.log)
	}
}

// The library's constructor asks the server, so a service could not start
// while Telegram is down.
func TestTrapStartWhileTelegramIsDown(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if got := r.ch.DeepLink("abc"); got != "" {
		t.Errorf("link before Telegram was reached: %q", got)
	}
	r.api.Fault(standin.Fault{Method: "getMe", Drop: true, Times: 2})
	r.api.Fault(standin.Fault{Method: "getMe", Status: 502, Page: "<html>Bad Gateway</html>"})
	r.api.Fault(standin.Fault{Method: "getMe", Status: 401, Description: "Unauthorized"})
	r.api.Fault(standin.Fault{Method: "deleteWebhook", Status: 500, Description: "Internal Server Error"})
	r.api.User(7001, "Tomasz", "pl").Start("code")
	r.run()
	r.heard(1)
	if got, want := r.ch.DeepLink("abc-p1-x_Y"), "https://t.me/"+r.api.Name()+"?start=abc-p1-x_Y"; got != want {
		t.Errorf("link %q, want %q", got, want)
	}
	for _, code := range []string{"", "a b", strings.Repeat("a", 65), "a&b=c"} {
		if got := r.ch.DeepLink(code); got != "" {
			t.Errorf("link for code %q: %q, want none", code, got)
		}
	}
	if !strings.Contains(r.log.String(), "level=ERROR") {
		t.Error("a refused token is not logged as an error")
	}
}

// The library fills in the address with Sprintf.
func TestTrapPercentInAddress(t *testing.T) {
	t.Parallel()
	var path string
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		path = r.URL.EscapedPath()
		fmt.Fprint(w, `{"ok":true,"result":true}`)
	}))
	defer s.Close()
	a, err := newAPI(childToken, s.URL+"/bot%20api/")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.call(t.Context(), "getMe", nil); err != nil {
		t.Fatal(err)
	}
	if want := "/bot%20api/bot" + childToken + "/getMe"; path != want {
		t.Errorf("asked %q, want %q", path, want)
	}
}

// A page that isn't JSON reaches the library's decoder without its status; an
// empty body becomes EOF.
func TestTrapAnswersThatAreNotJSON(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.api.User(7001, "Tomasz", "pl").Start("")
	for name, f := range map[string]standin.Fault{
		"page": {Status: 502, Page: "<html>Bad Gateway</html>"}, "empty": {Status: 502, Empty: true},
		"page with 200": {Status: 200, Page: "<html>sign in to the harbour's network</html>"},
	} {
		f.Method = "sendMessage"
		r.api.Fault(f)
		_, err := r.ch.api.call(t.Context(), "sendMessage", tgbotapi.Params{"chat_id": "7001", "text": "x"})
		var got *fault
		if !errors.As(err, &got) || got.status != f.Status {
			t.Errorf("%s: %v, want a fault with status %d", name, err, f.Status)
		}
		want := delivery.Failed
		if f.Status == http.StatusOK {
			want = delivery.Unsure
		}
		if out := r.ch.judge(chat{id: 7001}, err); out.Result != want {
			t.Errorf("%s: %+v, want %s", name, out, want)
		}
	}
}
