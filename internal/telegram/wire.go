package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptrace"
	"strconv"
	"sync/atomic"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// maxAnswer bounds what one answer may carry: a hundred updates fit easily.
const maxAnswer = 16 << 20

var errTooLong = errors.New("the answer is too long")

// wire is the HTTP client of one call. The library has no context, loses the
// status of uploads and hands broken answers to a JSON decoder; wire gives it
// a context and remembers what really came back.
type wire struct {
	ctx    context.Context
	client *http.Client

	sent   atomic.Bool // the request's headers were written
	status int
	header http.Header
	answer *tgbotapi.APIResponse // nil unless the body was an answer of the API
}

// Do is the library's HTTPClient. It closes the request's body on every way
// out: an upload's writer would wait for ever on a body that nobody reads.
func (w *wire) Do(r *http.Request) (*http.Response, error) {
	if err := w.ctx.Err(); err != nil {
		if r.Body != nil {
			_ = r.Body.Close()
		}
		return nil, err
	}
	ctx := httptrace.WithClientTrace(w.ctx, &httptrace.ClientTrace{WroteHeaders: func() { w.sent.Store(true) }})
	resp, err := w.client.Do(r.WithContext(ctx)) // #nosec G704 -- the API address is a setting of the operator
	if err != nil {
		if r.Body != nil {
			_ = r.Body.Close()
		}
		return nil, err
	}
	defer resp.Body.Close()
	w.status, w.header = resp.StatusCode, resp.Header
	body, err := io.ReadAll(io.LimitReader(resp.Body, maxAnswer+1))
	if err != nil {
		return nil, err
	}
	if len(body) > maxAnswer {
		return nil, errTooLong
	}
	w.keep(body)
	resp.Body = io.NopCloser(bytes.NewReader(body))
	return resp, nil
}

func (w *wire) keep(body []byte) {
	var a struct {
		OK *bool `json:"ok"`
		tgbotapi.APIResponse
	}
	if json.Unmarshal(body, &a) == nil && a.OK != nil {
		a.Ok = *a.OK
		w.answer = &a.APIResponse
	}
}

// retryAfter is what the answer or, for a proxy before it, the header asks for.
func (w *wire) retryAfter() time.Duration {
	if w.answer != nil && w.answer.Parameters != nil && w.answer.Parameters.RetryAfter > 0 {
		return time.Duration(w.answer.Parameters.RetryAfter) * time.Second
	}
	seconds, err := strconv.Atoi(w.header.Get("Retry-After"))
	if err != nil || seconds < 0 {
		return 0
	}
	return time.Duration(seconds) * time.Second
}

// newHTTPClient is the client of all calls. Time limits come from the
// context of each call, since a long poll takes longer than a send. Redirects
// are not followed: the token is in the path.
func newHTTPClient() *http.Client {
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.DialContext = (&net.Dialer{Timeout: 5 * time.Second, KeepAlive: 30 * time.Second}).DialContext
	t.MaxIdleConnsPerHost = 16
	return &http.Client{Transport: t,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}
