package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// api makes calls to a Bot API server. It is safe for concurrent use.
type api struct {
	token  string
	bot    tgbotapi.BotAPI // copied for every call, never used itself
	client *http.Client
}

// newAPI checks token and address; it asks nobody, so a service can start
// while Telegram is down.
func newAPI(token, address string) (*api, error) {
	if err := checkToken(token); err != nil {
		return nil, err
	}
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || (u.Scheme != "http" && u.Scheme != "https") || u.RawQuery != "" || u.Fragment != "" {
		return nil, fmt.Errorf("address of the Bot API %q: want http:// or https:// and a host", scrub(address, token))
	}
	a := &api{token: token, client: newHTTPClient()}
	a.bot.Token = token
	// The library fills in an address with Sprintf: exactly two %s.
	a.bot.SetAPIEndpoint(strings.ReplaceAll(strings.TrimRight(address, "/"), "%", "%%") + "/bot%s/%s")
	return a, nil
}

// checkToken wants the two parts of a token in letters that need no escaping
// in a path, so that no error text can hold it in another form.
func checkToken(token string) error {
	number, secret, ok := strings.Cut(token, ":")
	if !ok || number == "" || len(secret) < 8 || strings.Trim(number, "0123456789") != "" ||
		strings.IndexFunc(secret, func(r rune) bool { return !isTokenRune(r) }) >= 0 {
		return errors.New("bot token of Telegram: want digits, a colon and a secret of letters, digits, _ and -, as " +
			"BotFather gave it")
	}
	return nil
}

func isTokenRune(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-'
}

// call asks one method and returns its result as it came, since not every
// method returns what the library's helpers expect. With files it uploads.
// An error is always a *fault.
func (a *api) call(ctx context.Context, method string, params tgbotapi.Params,
	files ...tgbotapi.RequestFile) (json.RawMessage, error) {
	w := &wire{ctx: ctx, client: a.client}
	bot := a.bot
	bot.Client = w
	var err error
	if len(files) > 0 {
		_, err = bot.UploadFiles(method, params, files)
	} else {
		_, err = bot.MakeRequest(method, params)
	}
	if w.answer != nil && w.answer.Ok {
		return w.answer.Result, nil
	}
	return nil, a.fault(method, w, err)
}

// fault says what went wrong, from what the wire saw rather than from what
// the library made of it.
func (a *api) fault(method string, w *wire, err error) *fault {
	f := &fault{method: method, status: w.status}
	if w.answer == nil {
		f.cause = hide(err, a.token)
		f.maybeDone = w.sent.Load()
		if w.status != 0 {
			f.retryAfter = w.retryAfter()
		}
		return f
	}
	f.code, f.retryAfter = w.answer.ErrorCode, w.retryAfter()
	if f.code == 0 {
		f.code = w.status
	}
	f.description = describe(w.answer.Description, a.token)
	if w.answer.Parameters != nil {
		f.migrateTo = w.answer.Parameters.MigrateToChatID
	}
	f.maybeDone = f.code >= 500
	return f
}

// describe keeps a description short and free of what it may quote from a message.
func describe(text, token string) string {
	if head, _, quotes := strings.Cut(text, "can't parse entities"); quotes {
		text = head + "can't parse entities"
	}
	if r := []rune(text); len(r) > 200 {
		text = string(r[:200])
	}
	return scrub(text, token)
}

// quietLibrary sends what the library would print to nowhere: it prints
// request addresses, and so the token. It must happen before any goroutine
// uses the library, and once.
var quietLibrary = sync.OnceFunc(func() { _ = tgbotapi.SetLogger(discard{}) })

type discard struct{}

func (discard) Println(...any)        {}
func (discard) Printf(string, ...any) {}

// asJSON is a parameter that is an object or a list.
func asJSON(v any) string {
	raw, err := json.Marshal(v)
	if err != nil { // only our own plain types come here
		slog.Error("telegram parameter", "error", err)
	}
	return string(raw)
}
