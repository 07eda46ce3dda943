package webhook

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"

	standardwebhooks "github.com/standard-webhooks/standard-webhooks/libraries/go"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// outcome is how one attempt ended.
type outcome struct {
	kind   string // the event's type
	status int    // of the answer, 0 for none
	reason string // why it failed, "" when it didn't; holds no address
	after  time.Duration
	gone   bool // the receiver wants no more (410), or nothing can ever be signed
	took   time.Duration
}

// patience is how long nothing but failures is borne with.
func (o outcome) patience() time.Duration {
	if o.gone {
		return 0
	}
	return day
}

// attempt signs the event and sends it once.
func (t *Teller) attempt(ctx context.Context, n roster.News, e roster.Endpoint) outcome {
	began := t.cfg.Now()
	trip, err := t.now(ctx, n.Trip)
	if err != nil {
		return outcome{reason: "the trip can't be read"}
	}
	body, kind, err := Body(n.Trip, n.Event, trip)
	if err != nil {
		return outcome{reason: "the stored event can't be read"}
	}
	o := t.send(ctx, n, e, body, began)
	o.kind, o.took = kind, t.cfg.Now().Sub(began)
	return o
}

func (t *Teller) send(ctx context.Context, n roster.News, e roster.Endpoint, body []byte, now time.Time) outcome {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, e.URL, bytes.NewReader(body))
	if err != nil {
		return outcome{reason: "the registered address can't be read", gone: true}
	}
	id := EventID(n.Trip, n.Number)
	signature, err := t.sign(n.Shop, e, id, now, body)
	if err != nil {
		return outcome{reason: "the signing secret can't be read: register the endpoint again", gone: true}
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("User-Agent", "gasmuster-webhook/1")
	req.Header.Set(standardwebhooks.HeaderWebhookID, id)
	req.Header.Set(standardwebhooks.HeaderWebhookTimestamp, strconv.FormatInt(now.Unix(), 10))
	req.Header.Set(standardwebhooks.HeaderWebhookSignature, signature)
	answer, err := t.cfg.Client.Do(req)
	if err != nil {
		return outcome{reason: unreached(err)}
	}
	defer answer.Body.Close()
	_, _ = io.CopyN(io.Discard, answer.Body, 64<<10) // lets the connection be used again
	return judge(answer, now)
}

// sign signs with the secret, and for a day after a rotation with the one
// before it too.
func (t *Teller) sign(shop roster.ShopID, e roster.Endpoint, id string, now time.Time, body []byte) (string, error) {
	sealed := [][]byte{e.Secret}
	if len(e.Previous) > 0 && now.Before(e.PreviousUntil) {
		sealed = append(sealed, e.Previous)
	}
	var signatures []string
	for _, s := range sealed {
		secret, err := t.cfg.Sealer.Open(s, string(shop))
		if err != nil {
			return "", err
		}
		hook, err := standardwebhooks.NewWebhook(secret)
		if err != nil {
			return "", err
		}
		signature, err := hook.Sign(id, now, body)
		if err != nil {
			return "", err
		}
		signatures = append(signatures, signature)
	}
	return strings.Join(signatures, " "), nil
}

// judge says what an answer means: only 2xx is a success.
func judge(answer *http.Response, now time.Time) outcome {
	o := outcome{status: answer.StatusCode}
	switch {
	case o.status >= 200 && o.status < 300:
		return o
	case o.status >= 300 && o.status < 400:
		o.reason = fmt.Sprintf("answered %d: a redirect, which is not followed", o.status)
	case o.status == http.StatusGone:
		o.reason, o.gone = "answered 410: wants no more events", true
	default:
		o.reason = fmt.Sprintf("answered %d", o.status)
	}
	o.after = retryAfter(answer.Header.Get("Retry-After"), now)
	return o
}

// retryAfter reads the header: seconds, or a date; anything else asks for nothing.
func retryAfter(s string, now time.Time) time.Duration {
	if n, err := strconv.ParseInt(s, 10, 32); err == nil && n > 0 {
		return time.Duration(n) * time.Second
	}
	if at, err := http.ParseTime(s); err == nil {
		return max(0, at.Sub(now))
	}
	return 0
}

// unreached says why there was no answer, without the address.
func unreached(err error) string {
	var forbidden *ForbiddenError
	var dns *net.DNSError
	var timeout net.Error
	switch {
	case errors.As(err, &forbidden):
		return forbidden.Error()
	case errors.As(err, &timeout) && timeout.Timeout():
		return "no answer in time"
	case errors.As(err, &dns):
		return "its name is not known"
	default:
		return "could not be reached"
	}
}

// EventID is an event's id, the same with every attempt.
func EventID(trip roster.TripID, number int) string { return string(trip) + "_" + strconv.Itoa(number) }

// ParseEventID takes an event's id apart.
func ParseEventID(id string) (roster.TripID, int, bool) {
	trip, number, _ := strings.Cut(id, "_")
	n, err := strconv.ParseInt(number, 10, 32)
	if err != nil || n < 1 || trip == "" || strconv.FormatInt(n, 10) != number {
		return "", 0, false
	}
	return roster.TripID(trip), int(n), true
}

// Body is what is sent of a stored event: {"type", "timestamp", "data"}, with
// the trip among the data, and names as they are now.
func Body(trip roster.TripID, stored json.RawMessage, now *roster.Trip) (body []byte, kind string, err error) {
	data := map[string]any{}
	h := conversation.Happening{Data: &data}
	if err := json.Unmarshal(stored, &h); err != nil {
		return nil, "", err
	}
	data["trip"] = trip
	named(data, now)
	h.Data = data
	h.At = h.At.UTC()
	body, err = json.Marshal(h)
	return body, h.Type, err
}

func delivery(n roster.News, o outcome, now time.Time) roster.Delivery {
	d := roster.Delivery{Event: EventID(n.Trip, n.Number), Trip: n.Trip, Type: o.kind, At: now, Attempt: n.Attempts + 1,
		Result: "delivered", Status: o.status, Reason: o.reason, Took: o.took.Milliseconds()}
	if o.reason != "" {
		d.Result = "failed"
	}
	return d
}

// now is the trip as it is, nil when it was erased meanwhile.
func (t *Teller) now(ctx context.Context, id roster.TripID) (*roster.Trip, error) {
	loaded, err := t.cfg.Trips.Load(ctx, id, "")
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return nil, nil
	case err != nil:
		return nil, err
	}
	return loaded.Trip, nil
}

// named puts names beside the ids of an event: they are not stored with it, so
// that who is forgotten is in no event that is told from then on.
func named(data map[string]any, t *roster.Trip) {
	if t == nil {
		return
	}
	data["trip_name"] = t.Name
	for id, name := range map[string]string{"person": "name", "by": "by_name"} {
		if p, ok := data[id].(string); ok && p != "" {
			if one := t.Person(roster.PersonID(p)); one != nil && !one.Erased {
				data[name] = one.Name
			}
		}
	}
	if c, ok := data["cylinder"].(string); ok && data["label"] == nil {
		if _, cyl := t.Cylinder(roster.CylinderID(c)); cyl != nil && cyl.Label != "" {
			data["label"] = cyl.Label
		}
	}
}
