package telegram

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"io"
	"net/http"
	"strconv"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

const (
	secretHeader   = "X-Telegram-Bot-Api-Secret-Token" // #nosec G101 -- the name of a header
	maxUpdate      = 1 << 20                           // bytes; the largest real update is far smaller
	maxDrained     = 32 << 20                          // bytes of a longer one that are read and dropped
	maxConnections = 40
	handleTimeout  = 25 * time.Second // the server gives up on us after a minute
	retryAfter     = 2 * time.Second  // when an update could not be stored
)

func digest(secret string) [32]byte { return sha256.Sum256([]byte(secret)) }

// ServeHTTP takes one update from the Bot API server. It answers
//
//	401  the secret is missing or wrong (looked at before anything else)
//	405  the request is no POST
//	503  it could not be stored; with Retry-After, and the server tries again
//	200  it is stored, or was before; or it can't be read or handled at all, in
//	     which case a repetition would change nothing: that is logged
func (c *Channel) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	given := digest(r.Header.Get(secretHeader))
	if c.cfg.Secret == "" || subtle.ConstantTimeCompare(given[:], c.secret[:]) != 1 {
		http.Error(w, "unauthorized", http.StatusUnauthorized)
		return
	}
	if r.Method != http.MethodPost {
		w.Header().Set("Allow", http.MethodPost)
		http.Error(w, "want POST", http.StatusMethodNotAllowed)
		return
	}
	body, err := io.ReadAll(io.LimitReader(r.Body, maxUpdate+1))
	switch {
	case err != nil:
		unavailable(w)
		return
	case len(body) > maxUpdate:
		c.tooLong(r.Body)
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), handleTimeout)
	defer cancel()
	if err := c.take(ctx, body); err != nil {
		unavailable(w)
	}
}

// tooLong drops an update that no server sends. It is read to its end and
// acknowledged, or it would come again for ever over one broken connection after
// another.
func (c *Channel) tooLong(body io.Reader) {
	n, _ := io.Copy(io.Discard, io.LimitReader(body, maxDrained))
	c.log.Error("update dropped: too long", "limit", maxUpdate, "bytes", maxUpdate+1+n)
}

func unavailable(w http.ResponseWriter) {
	w.Header().Set("Retry-After", strconv.Itoa(int(retryAfter/time.Second)))
	http.Error(w, "not stored", http.StatusServiceUnavailable)
}

// setWebhook tells the server where to deliver. It never drops what waits:
// those are readings that people sent while we were away.
func (c *Channel) setWebhook(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	_, err := c.api.call(ctx, "setWebhook", tgbotapi.Params{
		"url":             c.cfg.WebhookURL,
		"secret_token":    c.cfg.Secret,
		"allowed_updates": asJSON(allowedUpdates),
		"max_connections": strconv.Itoa(maxConnections),
	})
	return err
}

func (c *Channel) deleteWebhook(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	_, err := c.api.call(ctx, "deleteWebhook", nil)
	return err
}

const (
	watchEvery   = 5 * time.Minute
	watchPending = 100 // updates waiting that deserve a line in the log
)

// watchWebhook looks now and then whether the server reaches us, since nothing
// else would tell, and sets the webhook again when somebody changed it.
func (c *Channel) watchWebhook(ctx context.Context) {
	var seen int64
	for rest(ctx, watchEvery) {
		seen = c.inspectWebhook(ctx, seen)
	}
}

func (c *Channel) inspectWebhook(ctx context.Context, seen int64) int64 {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	raw, err := c.api.call(ctx, "getWebhookInfo", nil)
	var info tgbotapi.WebhookInfo
	if err == nil {
		err = unmarshal(raw, &info)
	}
	if err != nil {
		c.complain("look at webhook", err)
		return seen
	}
	if info.URL != c.cfg.WebhookURL {
		c.log.Error("webhook was changed by somebody else; setting it again")
		if err := c.setWebhook(ctx); err != nil {
			c.complain("set webhook", err)
		}
	}
	if at := int64(info.LastErrorDate); at > seen || info.PendingUpdateCount >= watchPending {
		c.log.Warn("Telegram has trouble delivering updates", "pending", info.PendingUpdateCount,
			"last_error", describe(info.LastErrorMessage, c.cfg.Token))
		seen = at
	}
	return seen
}
