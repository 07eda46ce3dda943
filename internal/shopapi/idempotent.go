package shopapi

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strings"

	"gasmuster/internal/booking"
	"gasmuster/internal/roster"
)

// longestIdempotencyKey bounds the header; a UUID has 36 characters.
const longestIdempotencyKey = 128

// stored is an answer kept under an idempotency key for 24 hours.
type stored struct {
	Status int               `json:"status"`
	Header map[string]string `json:"header"`
	Body   string            `json:"body"`
}

// once runs a POST that carries an Idempotency-Key at most once in 24 hours:
// the second gets the first one's answer. A process that died between storing
// and answering leaves no answer; then the call runs again, and finds what it
// did by the ids that follow from the key (source, newTripID).
func (a *api) once(c *call, run handler) {
	c.key = strings.TrimSpace(c.Header.Get("Idempotency-Key"))
	if c.Method != http.MethodPost || c.key == "" {
		run(a, c)
		return
	}
	if len(c.key) > longestIdempotencyKey || roster.CleanName(c.key) != c.key {
		refuse(c.w, http.StatusBadRequest, "An Idempotency-Key of 1 to 128 visible characters is accepted.")
		return
	}
	earlier, same, err := a.Shops.Idempotent(c.Context(), c.shop.ID, c.key, c.bodyHash())
	switch {
	case err != nil:
		a.failed(c.w, c.Request, err)
	case !same:
		refuse(c.w, http.StatusUnprocessableEntity,
			"This Idempotency-Key was used for another request in the last 24 hours. Nothing was stored: use a new key.")
	case earlier != nil:
		replay(c.w, earlier)
	default:
		a.runOnce(c, run)
	}
}

func (a *api) runOnce(c *call, run handler) {
	keep := &keeper{ResponseWriter: c.w, status: http.StatusOK}
	c.w = keep
	run(a, c)
	if keep.status >= 500 || keep.status == http.StatusConflict {
		return // not settled: the same key may try again
	}
	s := stored{Status: keep.status, Header: map[string]string{}, Body: keep.body.String()}
	for _, name := range []string{"Content-Type", "Location"} {
		if v := keep.Header().Get(name); v != "" {
			s.Header[name] = v
		}
	}
	b, err := json.Marshal(s)
	if err == nil {
		err = a.Shops.Answer(c.Context(), c.shop.ID, c.key, c.bodyHash(), b)
	}
	if err != nil {
		a.log.Warn("shop api: answer not kept for its idempotency key", "err", err)
	}
}

func replay(w http.ResponseWriter, b []byte) {
	var s stored
	if json.Unmarshal(b, &s) != nil || s.Status == 0 {
		refuse(w, http.StatusConflict, "The first request with this Idempotency-Key is still running.")
		return
	}
	for name, v := range s.Header {
		w.Header().Set(name, v)
	}
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Idempotency-Replayed", "true")
	w.WriteHeader(s.Status)
	_, _ = w.Write([]byte(s.Body))
}

// keeper lets an answer through and keeps a copy.
type keeper struct {
	http.ResponseWriter
	status int
	body   bytes.Buffer
}

func (k *keeper) WriteHeader(status int) {
	k.status = status
	k.ResponseWriter.WriteHeader(status)
}

func (k *keeper) Write(b []byte) (int, error) {
	k.body.Write(b)
	return k.ResponseWriter.Write(b)
}

// bodyHash stands for the whole request: method, path and body.
func (c *call) bodyHash() string {
	h := sha256.New()
	for _, part := range []string{c.Method, c.URL.Path, string(c.body)} {
		h.Write([]byte(part))
		h.Write([]byte{0})
	}
	return hex.EncodeToString(h.Sum(nil))
}

// source is the event id of a change. It follows from the idempotency key, so
// that a call that runs again is recognised by the door.
func (c *call) source() string {
	if c.key == "" {
		return "shop:" + rand.Text()
	}
	sum := sha256.Sum256([]byte(string(c.shop.ID) + "\x00" + c.key + "\x00" + c.bodyHash()))
	return "shop:" + hex.EncodeToString(sum[:16])
}

// newTripID is random, or follows from the idempotency key and the request.
func (c *call) newTripID() roster.TripID {
	name := ""
	if c.key != "" {
		name = c.key + "\x00" + c.bodyHash()
	}
	return booking.TripID(c.shop, name)
}
