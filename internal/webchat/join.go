package webchat

import (
	"context"
	"crypto/rand"
	"net/http"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// firstVisit tells whether opening the page joins. A browser that looks ahead,
// or asks for the head only, is not the person.
func firstVisit(r *http.Request, t *roster.Trip, p *roster.Person) bool {
	ahead := r.Header.Get("Sec-Purpose") + r.Header.Get("Purpose")
	return r.Method == http.MethodGet && !strings.Contains(ahead, "prefetch") &&
		!slices.Contains(p.Addresses, delivery.WebAddress(t.ID, p.ID))
}

func (c *Pages) join(r *http.Request, t *roster.Trip, p *roster.Person) error {
	since := c.Now()
	_, err := c.Door.Handle(r.Context(), delivery.Inbound{Kind: conversation.Join,
		Source: "web:" + string(p.ID) + ":join:" + rand.Text()[:12], From: delivery.WebAddress(t.ID, p.ID),
		Trip: t.ID, Person: p.ID, At: since, Language: acceptedLanguage(r)})
	if err != nil {
		c.Log.Error("web: page not joined", "trip", t.ID, "person", p.ID, "err", err)
		return err
	}
	c.await(r.Context(), t.ID, p.ID, since)
	return nil
}

// acceptedLanguage is the language that the browser asks for, of those there
// are.
func acceptedLanguage(r *http.Request) string {
	return message.MatchHeader(r.Header.Get("Accept-Language"))
}

// lull is how long nothing more has to come for an answer to be taken as whole:
// one event is often answered by several messages.
const lull = 150 * time.Millisecond

// await waits until the bot has said something since then and falls silent, or
// patience ends: the answer mostly comes within the same breath, and then the
// page has it.
func (c *Pages) await(ctx context.Context, trip roster.TripID, person roster.PersonID, since time.Time) {
	ctx, cancel := context.WithTimeout(ctx, c.Patience)
	defer cancel()
	tick := time.NewTicker(40 * time.Millisecond)
	defer tick.Stop()
	heard, quietSince := 0, time.Now()
	for {
		entries, err := c.Chats.Read(ctx, trip, person, "")
		if err != nil {
			return
		}
		if n := answers(entries, since); n != heard {
			heard, quietSince = n, time.Now()
		} else if heard > 0 && time.Since(quietSince) >= lull {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// answers counts what the bot has said since then.
func answers(entries []roster.Entry, since time.Time) (n int) {
	for _, e := range entries {
		if !e.Own && !e.At.Before(since) {
			n++
		}
	}
	return n
}
