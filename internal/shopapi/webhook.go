package shopapi

import (
	"errors"
	"net/http"
	"strconv"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/roster"
)

// webhookJSON is where the shop's systems are told of events, and how that goes.
type webhookJSON struct {
	URL       string    `json:"url"`
	Created   time.Time `json:"created_at"`
	Enabled   bool      `json:"enabled"`
	Waiting   int       `json:"waiting_events"` // that were not told yet
	Succeeded time.Time `json:"last_delivered_at,omitzero"`
	Failing   time.Time `json:"failing_since,omitzero"`
	Disabled  time.Time `json:"disabled_at,omitzero"`
	Reason    string    `json:"reason,omitempty"` // of the last failure
	Rotated   time.Time `json:"previous_secret_until,omitzero"`
	Secret    string    `json:"secret,omitempty"` // on registration only
}

func (a *api) getWebhook(c *call) {
	e, err := a.Hooks.Endpoint(c.Context(), c.shop.ID)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	a.showWebhook(c, e, "")
}

func (a *api) showWebhook(c *call, e roster.Endpoint, secret string) {
	waiting, err := a.Hooks.Waiting(c.Context(), c.shop.ID)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	out := webhookJSON{URL: e.URL, Created: e.Created, Enabled: e.Disabled.IsZero(), Waiting: waiting,
		Succeeded: e.Succeeded,
		Failing:   e.Failing, Disabled: e.Disabled, Reason: e.Reason, Secret: secret}
	if e.PreviousUntil.After(c.now) {
		out.Rotated = e.PreviousUntil
	}
	answer(c.w, http.StatusOK, out)
}

// putWebhook registers an endpoint, enables it again, or changes its secret:
// the secret is shown here and never again.
func (a *api) putWebhook(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	url := o.NeedText("url")
	o.Close()
	if url != "" {
		if err := a.Hooks.Check(url); err != nil {
			f.Add("/url", "%s", err)
		}
	}
	err := f.Err()
	var e roster.Endpoint
	var secret string
	if err == nil {
		e, secret, err = a.Hooks.Register(c.Context(), c.shop.ID, url)
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	a.showWebhook(c, e, secret)
}

func (a *api) dropWebhook(c *call) {
	if err := a.Hooks.Drop(c.Context(), c.shop.ID); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("Cache-Control", "no-store")
	c.w.WriteHeader(http.StatusNoContent)
}

// Lines of the delivery log in one answer.
const (
	usualDeliveries = 50
	mostDeliveries  = 200
)

type deliveriesJSON struct {
	Deliveries []roster.Delivery `json:"deliveries"` // the latest first
}

// deliveries is the delivery log of the last thousand attempts.
func (a *api) deliveries(c *call) {
	var f booking.Faults
	query := c.URL.Query()
	f.KnownQuery(query, "limit", "before")
	limit := usualDeliveries
	if s := query.Get("limit"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > mostDeliveries {
			f.Add("?limit", "is %s: 1 to %d is accepted", booking.Quoted(s), mostDeliveries)
		}
		limit = n
	}
	before := queryTime(c, "before", time.Time{}, &f)
	err := f.Err()
	var out deliveriesJSON
	if err == nil {
		out.Deliveries, err = a.Hooks.Deliveries(c.Context(), c.shop.ID, before, limit)
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusOK, out)
}

type replayJSON struct {
	From   string `json:"from"`
	Events int    `json:"events"` // that will be told
}

// replayEvents tells the events of a trip again, from one of them on.
func (a *api) replayEvents(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	from := o.NeedText("from")
	o.Close()
	trip, number, ok := a.Hooks.Parse(from)
	if from != "" && !ok {
		f.Add("/from", "is %s: the id of an event is accepted, such as abcdefghij_12", booking.Quoted(from))
	}
	err := f.Err()
	if err == nil {
		err = a.canReplay(c, trip)
	}
	events := 0
	if err == nil {
		events, err = a.Hooks.Replay(c.Context(), c.shop.ID, trip, number)
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusAccepted, replayJSON{from, events})
}

// canReplay tells whether the trip is the shop's and somebody listens.
func (a *api) canReplay(c *call, trip roster.TripID) error {
	if _, err := a.office().Load(c.Context(), c.shop.ID, trip); err != nil {
		return err
	}
	e, err := a.Hooks.Endpoint(c.Context(), c.shop.ID)
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return &booking.Refusal{Status: http.StatusConflict, Detail: "No webhook is registered: PUT /v1/webhook first."}
	case err == nil && !e.Disabled.IsZero():
		return &booking.Refusal{Status: http.StatusConflict,
			Detail: "The webhook is disabled: PUT /v1/webhook first; what was not told yet is told then."}
	}
	return err
}
