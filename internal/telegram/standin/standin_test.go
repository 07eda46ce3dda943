package standin

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// reply is an answer of the API.
type reply struct {
	Status      int
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	Code        int             `json:"error_code"`
	Description string          `json:"description"`
	Parameters  struct {
		RetryAfter int   `json:"retry_after"`
		MigrateTo  int64 `json:"migrate_to_chat_id"`
	} `json:"parameters"`
}

func ask(t *testing.T, s *Server, method string, pairs ...string) reply {
	t.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return decode(t)(http.PostForm(s.URL()+"/bot"+s.Token+"/"+method, form))
}

func decode(t *testing.T) func(*http.Response, error) reply {
	return func(resp *http.Response, err error) reply {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		r := reply{Status: resp.StatusCode}
		if err := json.NewDecoder(resp.Body).Decode(&r); err != nil {
			t.Fatal(err)
		}
		return r
	}
}

// What the public description of the Bot API documents as limits and refusals.
func TestSendMessageLimits(t *testing.T) {
	t.Parallel()
	s := New(t)
	s.User(7, "Tomasz", "pl").Start("")
	s.User(8, "Marit", "nb") // never started
	s.User(9, "Yusuf", "tr").Start("")
	s.users[9].Block()
	s.Group(-5, "boat").Kick()
	s.Group(-6, "boat").Upgrade(-1006, false)
	s.Group(-7, "boat").Send(s.users[8], "hello") // known by the group only
	for name, c := range map[string]struct {
		params []string
		want   string // of the description; "" for success
	}{
		"text":       {[]string{"chat_id", "7", "text", "a"}, ""},
		"4096 units": {[]string{"chat_id", "7", "text", strings.Repeat("é", 4096)}, ""},
		"4097 units": {[]string{"chat_id", "7", "text", strings.Repeat("é", 4097)}, "message is too long"},
		"2048 emoji": {[]string{"chat_id", "7", "text", strings.Repeat("🤿", 2048)}, ""},
		"2049 emoji": {[]string{"chat_id", "7", "text", strings.Repeat("🤿", 2049)}, "message is too long"},
		"4096 after parsing": {[]string{"chat_id", "7", "parse_mode", "HTML", "text", "<b>" + strings.Repeat("&amp;", 4096) +
			"</b>"}, ""},
		"4097 after parsing": {[]string{"chat_id", "7", "parse_mode", "HTML", "text", strings.Repeat("&lt;", 4097)},
			"message is too long"},
		"32769 bytes": {[]string{"chat_id", "7", "parse_mode", "HTML", "text", strings.Repeat("<b></b>", 4682) +
			"abc"}, "message is too long"},
		"no text":           {[]string{"chat_id", "7", "text", ""}, `"text" is required`},
		"blank":             {[]string{"chat_id", "7", "text", " \n "}, "message text is empty"},
		"not UTF-8":         {[]string{"chat_id", "7", "text", "\xff"}, "encoded in UTF-8"},
		"unknown parameter": {[]string{"chat_id", "7", "text", "a", "txet", "b"}, `unknown parameter "txet"`},
		"Markdown":          {[]string{"chat_id", "7", "text", "a", "parse_mode", "Markdown"}, "unsupported parse_mode"},
		"unknown chat":      {[]string{"chat_id", "1", "text", "a"}, "Bad Request: chat not found"},
		"no number":         {[]string{"chat_id", "x", "text", "a"}, "Bad Request: chat not found"},
		"never started": {[]string{"chat_id", "8", "text", "a"},
			"Forbidden: bot can't initiate conversation with a user"},
		"blocked":          {[]string{"chat_id", "9", "text", "a"}, "Forbidden: bot was blocked by the user"},
		"kicked":           {[]string{"chat_id", "-5", "text", "a"}, "Forbidden: bot was kicked from the group chat"},
		"upgraded":         {[]string{"chat_id", "-6", "text", "a"}, "upgraded to a supergroup"},
		"no topic":         {[]string{"chat_id", "-7", "message_thread_id", "3", "text", "a"}, "message thread not found"},
		"64 bytes of data": {[]string{"chat_id", "7", "text", "a", "reply_markup", keys(strings.Repeat("x", 64))}, ""},
		"65 bytes of data": {[]string{"chat_id", "7", "text", "a", "reply_markup", keys(strings.Repeat("x", 65))},
			"BUTTON_DATA_INVALID"},
		"66 bytes, 33 runes": {[]string{"chat_id", "7", "text", "a", "reply_markup", keys(strings.Repeat("é", 33))},
			"BUTTON_DATA_INVALID"},
		"no data": {[]string{"chat_id", "7", "text", "a", "reply_markup", keys("")}, "text buttons are unallowed"},
		"null keyboard": {[]string{"chat_id", "7", "text", "a", "reply_markup", `{"inline_keyboard":null}`},
			"can't parse reply keyboard"},
		"unknown in markup": {[]string{"chat_id", "7", "text", "a", "reply_markup", `{"inline_keyboard":[],"x":1}`},
			"can't parse reply keyboard"},
		"local link": {[]string{"chat_id", "7", "text", "a", "reply_markup",
			`{"inline_keyboard":[[{"text":"x","url":"http://localhost/"}]]}`}, "Wrong HTTP URL"},
	} {
		t.Run(name, func(t *testing.T) {
			got := ask(t, s, "sendMessage", c.params...)
			if (c.want == "") != got.OK || !strings.Contains(got.Description, c.want) {
				t.Errorf("ok %v %q, want %q", got.OK, got.Description, c.want)
			}
			if !got.OK && (got.Code != got.Status || got.Status < 400) {
				t.Errorf("status %d with error_code %d", got.Status, got.Code)
			}
			if name == "upgraded" && got.Parameters.MigrateTo != -1006 {
				t.Errorf("migrate_to_chat_id %d", got.Parameters.MigrateTo)
			}
		})
	}
}

func keys(data string) string {
	raw, _ := json.Marshal(map[string]any{"inline_keyboard": [][]Button{{{Label: "x", Data: data}}}})
	return string(raw)
}

func TestParseHTML(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ in, text, wrong string }{
		"plain": {"a b", "a b", ""},
		"tags": {`<b>a<i>b</i></b> <a href="https://x.example/?a=1">c</a> <span class="tg-spoiler">d</span>`,
			"ab c d", ""},
		"entities":           {"&lt;&gt;&amp;&quot;&#39;&#x1F93F;", `<>&"'🤿`, ""},
		"code in pre":        {`<pre><code class="language-go">x</code></pre>`, "x", ""},
		"unknown tag":        {"<h1>a</h1>", "", "unsupported start tag"},
		"unknown attribute":  {`<b style="x">a</b>`, "", "unsupported attribute"},
		"unclosed":           {"<b>a", "", "can't find end tag"},
		"crossed":            {"<b>a<i>b</b></i>", "", "unmatched end tag"},
		"end only":           {"a</b>", "", "unexpected end tag"},
		"named entity":       {"a&nbsp;b", "", "unknown entity"},
		"bare ampersand":     {"a & b", "", "bare '&'"},
		"bare less":          {"a < b", "", "bare or malformed '<'"},
		"bare greater":       {"a > b", "", "bare '>'"},
		"bold in pre":        {"<pre><b>a</b></pre>", "", "inside"},
		"anything in code":   {"<code><i>a</i></code>", "", "inside"},
		"tag cut in half":    {"a<b", "", "malformed"},
		"entity cut in half": {"a&am", "", "unknown entity"},
	} {
		t.Run(name, func(t *testing.T) {
			text, _, err := ParseHTML(c.in)
			switch {
			case c.wrong == "" && (err != nil || text != c.text):
				t.Errorf("%q, %v; want %q", text, err, c.text)
			case c.wrong != "" && (err == nil || !strings.Contains(err.Error(), c.wrong)):
				t.Errorf("error %v, want %q", err, c.wrong)
			}
		})
	}
	_, got, _ := ParseHTML("🤿<b>é<i>x</i></b>")
	if want := []Entity{{"italic", 3, 1}, {"bold", 2, 2}}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

func TestTokenAndMethods(t *testing.T) {
	t.Parallel()
	s := New(t)
	for path, want := range map[string]int{
		"/bot" + s.Token + "/getMe": 200, "/bot" + s.Token + "/noSuchMethod": 404, "/bot1:wrong/getMe": 401,
		"/botx/getMe": 404, "/": 404, "/" + s.Token + "/getMe": 404,
	} {
		got := decode(t)(http.Post(s.URL()+path, "application/x-www-form-urlencoded", strings.NewReader("")))
		if got.Status != want || got.OK != (want == 200) {
			t.Errorf("%s: status %d ok %v, want %d", path, got.Status, got.OK, want)
		}
	}
}

func TestBodies(t *testing.T) {
	t.Parallel()
	s := New(t)
	tomasz := s.User(7, "Tomasz", "pl")
	tomasz.Start("")
	at := s.URL() + "/bot" + s.Token + "/"
	got := decode(t)(http.Post(at+"sendMessage", "application/json",
		strings.NewReader(`{"chat_id":7,"text":"a","reply_markup":{"inline_keyboard":[]}}`)))
	if !got.OK {
		t.Errorf("JSON: %s", got.Description)
	}
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	_ = w.WriteField("chat_id", "7")
	_ = w.WriteField("caption", "the record")
	part, _ := w.CreateFormFile("document", "record.csv")
	_, _ = part.Write([]byte("a,b"))
	_ = w.Close()
	got = decode(t)(http.Post(at+"sendDocument", w.FormDataContentType(), &body))
	if !got.OK {
		t.Errorf("upload: %s", got.Description)
	}
	list := tomasz.Messages()
	if len(list) != 2 || list[1].File != "record.csv" || list[1].Text != "the record" {
		t.Errorf("messages %+v", list)
	}
	for kind, bad := range map[string]string{"application/json": `{`, "multipart/form-data; boundary=x": "x",
		"application/x-www-form-urlencoded": "%zz"} {
		if got := decode(t)(http.Post(at+"sendMessage", kind, strings.NewReader(bad))); got.Status != 400 {
			t.Errorf("%s %q: status %d", kind, bad, got.Status)
		}
	}
}

func TestEdit(t *testing.T) {
	t.Parallel()
	s := New(t)
	tomasz := s.User(7, "Tomasz", "pl")
	mine := tomasz.Start("")
	ask(t, s, "sendMessage", "chat_id", "7", "text", "a", "reply_markup", keys("x"))
	id := fmt.Sprint(tomasz.Messages()[0].ID)
	for _, c := range []struct {
		pairs []string
		want  string
	}{
		{[]string{"message_id", id, "text", "a", "reply_markup", keys("x")}, "message is not modified"},
		{[]string{"message_id", id, "text", "b"}, ""},
		{[]string{"message_id", "1", "text", "b"}, "message to edit not found"},
		{[]string{"message_id", fmt.Sprint(mine), "text", "b"}, "message can't be edited"},
	} {
		got := ask(t, s, "editMessageText", append([]string{"chat_id", "7"}, c.pairs...)...)
		if got.OK != (c.want == "") || !strings.Contains(got.Description, c.want) {
			t.Errorf("%v: %v %q, want %q", c.pairs, got.OK, got.Description, c.want)
		}
	}
	if m := tomasz.Messages()[0]; m.Text != "b" || m.Buttons != nil {
		t.Errorf("edited without markup: %q %v, want b and no buttons", m.Text, m.Buttons)
	}
}

func TestCommands(t *testing.T) {
	t.Parallel()
	s := New(t)
	s.User(7, "Tomasz", "pl").Start("")
	for _, c := range []struct{ commands, scope, want string }{
		{`[{"command":"help","description":"x"}]`, "", ""},
		{`[{"command":"gas","description":"x"}]`, `{"type":"chat","chat_id":7}`, ""},
		{`[{"command":"gas","description":"x"}]`, `{"type":"chat","chat_id":1}`, "chat not found"},
		{`null`, "", "can't parse commands"},
		{`[{"command":"Help","description":"x"}]`, "", "BOT_COMMAND_INVALID"},
		{`[{"command":"help","description":""}]`, "", "BOT_COMMAND_DESCRIPTION_INVALID"},
		{`[{"command":"help","description":"x"}]`, `{"type":"boat"}`, "unknown type"},
	} {
		pairs := []string{"commands", c.commands}
		if c.scope != "" {
			pairs = append(pairs, "scope", c.scope)
		}
		got := ask(t, s, "setMyCommands", pairs...)
		if got.OK != (c.want == "") || !strings.Contains(got.Description, c.want) {
			t.Errorf("%+v: %v %q", c, got.OK, got.Description)
		}
	}
	if got := s.Menu(7)[0].Command; got != "gas" {
		t.Errorf("own menu starts with %q", got)
	}
	if got := s.Menu(8)[0].Command; got != "help" {
		t.Errorf("default menu starts with %q", got)
	}
}

func TestGetUpdates(t *testing.T) {
	t.Parallel()
	s := New(t)
	tomasz := s.User(7, "Tomasz", "pl")
	tomasz.Start("code")
	tomasz.Send("32.4")
	ids := func(r reply) (list []int64) {
		var us []struct {
			ID int64 `json:"update_id"`
		}
		if err := json.Unmarshal(r.Result, &us); err != nil {
			t.Fatal(err)
		}
		for _, u := range us {
			list = append(list, u.ID)
		}
		return list
	}
	all := ids(ask(t, s, "getUpdates"))
	if len(all) != 2 || all[1] != all[0]+1 {
		t.Fatalf("updates %v", all)
	}
	if got := ids(ask(t, s, "getUpdates")); !cmp.Equal(got, all) {
		t.Errorf("not confirmed: %v, want %v again", got, all)
	}
	if got := ids(ask(t, s, "getUpdates", "offset", fmt.Sprint(all[1]), "limit", "1")); !cmp.Equal(got, all[1:]) {
		t.Errorf("after the first: %v", got)
	}
	if got := ids(ask(t, s, "getUpdates", "offset", fmt.Sprint(all[1]+1), "timeout", "0")); len(got) != 0 ||
		s.Pending() != 0 {
		t.Errorf("all confirmed: %v, %d pending", got, s.Pending())
	}
	// A list of kinds sticks until another list is given.
	ask(t, s, "getUpdates", "allowed_updates", `["callback_query"]`, "timeout", "0")
	ask(t, s, "getUpdates", "allowed_updates", `null`, "timeout", "0")
	tomasz.Send("36.0")
	if got := ids(ask(t, s, "getUpdates", "timeout", "0")); len(got) != 0 {
		t.Errorf("a message although only buttons were asked for: %v", got)
	}
	ask(t, s, "getUpdates", "allowed_updates", `[]`, "timeout", "0")
	// A second poll ends the first.
	first := make(chan reply)
	go func() { first <- ask(t, s, "getUpdates", "timeout", "30") }()
	s.Wait(func() bool { s.mu.Lock(); defer s.mu.Unlock(); return s.polls >= 9 })
	ask(t, s, "getUpdates", "timeout", "0")
	if got := <-first; got.Status != 409 {
		t.Errorf("first poll: status %d, want 409", got.Status)
	}
	ask(t, s, "setWebhook", "url", "http://127.0.0.1:1/")
	if got := ask(t, s, "getUpdates"); got.Status != 409 || !strings.Contains(got.Description, "webhook is active") {
		t.Errorf("with a webhook: %d %q", got.Status, got.Description)
	}
}

func TestRateLimit(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 5, 15, 8, 0, 0, 0, time.UTC)
	var mu sync.Mutex
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); return now }
	s := New(t, Options{PerChat: 2, Period: 3 * time.Second, Now: clock})
	s.User(7, "Tomasz", "pl").Start("")
	s.User(8, "Marit", "nb").Start("")
	var got []int
	send := func(to string) reply {
		r := ask(t, s, "sendMessage", "chat_id", to, "text", "a")
		got = append(got, r.Status)
		return r
	}
	send("7")
	send("7")
	if r := send("7"); r.Parameters.RetryAfter < 1 || r.Parameters.RetryAfter > 4 {
		t.Errorf("retry_after %d", r.Parameters.RetryAfter)
	}
	send("8")
	mu.Lock()
	now = now.Add(3 * time.Second)
	mu.Unlock()
	send("7")
	if want := []int{200, 200, 429, 200, 200}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

func TestFaults(t *testing.T) {
	t.Parallel()
	s := New(t)
	tomasz := s.User(7, "Tomasz", "pl")
	tomasz.Start("")
	s.Fault(Fault{Method: "sendMessage", Skip: 1, Status: 429, RetryAfter: 4,
		Description: "Too Many Requests: retry after 4"})
	var got []string
	for range 3 {
		r := ask(t, s, "sendMessage", "chat_id", "7", "text", "a")
		got = append(got, strconv.Itoa(r.Status)+" "+strconv.Itoa(r.Parameters.RetryAfter))
	}
	if want := []string{"200 0", "429 4", "200 0"}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	for name, c := range map[string]struct {
		f       Fault
		arrives int
	}{"drop": {Fault{Drop: true}, 0}, "drop applied": {Fault{Drop: true, Applied: true}, 1},
		"half": {Fault{Half: true}, 1}} {
		before := len(tomasz.Messages())
		s.Fault(c.f)
		resp, err := http.PostForm(s.URL()+"/bot"+s.Token+"/sendMessage", url.Values{"chat_id": {"7"}, "text": {"a"}})
		if err == nil {
			_, err = io.ReadAll(resp.Body)
			resp.Body.Close()
		}
		if err == nil {
			t.Errorf("%s: a whole answer", name)
		}
		if got := len(tomasz.Messages()) - before; got != c.arrives {
			t.Errorf("%s: %d arrived, want %d", name, got, c.arrives)
		}
	}
}

// Buttons are given up after 150 seconds, messages after a day.
func TestUpdatesExpire(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 5, 15, 8, 0, 0, 0, time.UTC)
	s := New(t, Options{Now: func() time.Time { return now }})
	tomasz := s.User(7, "Tomasz", "pl")
	tomasz.Start("")
	ask(t, s, "sendMessage", "chat_id", "7", "text", "which?", "reply_markup", keys("undo"))
	tomasz.Press("undo")
	var got []int
	for _, later := range []time.Duration{150 * time.Second, time.Second, 24 * time.Hour} {
		now = now.Add(later)
		got = append(got, s.Pending())
	}
	if want := []int{2, 1, 0}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

// Privacy mode: the bot hears commands and answers to it, not chatter.
func TestGroupPrivacy(t *testing.T) {
	t.Parallel()
	for reads, want := range map[bool]int{false: 2, true: 3} {
		s := New(t, Options{CanRead: reads})
		g, tomasz := s.Group(-5, "boat"), s.User(7, "Tomasz", "pl")
		g.Send(tomasz, "hello")
		g.Send(tomasz, "/missing")
		g.SendAny(tomasz, map[string]any{"text": "32.4", "reply_to_message": map[string]any{"message_id": 1}})
		if got := s.Pending(); got != want {
			t.Errorf("reads all %v: %d updates, want %d", reads, got, want)
		}
	}
}

func TestCallbacks(t *testing.T) {
	t.Parallel()
	s := New(t)
	tomasz := s.User(7, "Tomasz", "pl")
	tomasz.Start("")
	ask(t, s, "sendMessage", "chat_id", "7", "text", "which?", "reply_markup", keys("undo"))
	p, old := tomasz.Await("which").Press("x"), tomasz.Press("undo")
	old.Expire()
	if got := s.Unanswered(); !cmp.Equal(got, []string{p.ID}) {
		t.Errorf("unanswered %v", got)
	}
	for id, want := range map[string]int{p.ID: 200, old.ID: 400, "other": 400} {
		if got := ask(t, s, "answerCallbackQuery", "callback_query_id", id); got.Status != want {
			t.Errorf("answer to %s: %d, want %d", id, got.Status, want)
		}
	}
	if got := ask(t, s, "answerCallbackQuery", "callback_query_id", p.ID, "text",
		strings.Repeat("x", 201)); got.Status != 400 {
		t.Errorf("201 characters: %d", got.Status)
	}
	if !p.Answered() || len(s.Unanswered()) != 0 {
		t.Error("the answer was not noted")
	}
	if !strings.Contains(s.Dump(), "answerCallbackQuery") {
		t.Error("the transcript lacks the answer")
	}
}
