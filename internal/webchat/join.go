package webchat

import (
	"context"
	"crypto/rand"
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// joined tells whether somebody opened their page before: pressed its button,
// not only looked at it.
func joined(t *roster.Trip, p *roster.Person) bool {
	return slices.Contains(p.Addresses, delivery.WebAddress(t.ID, p.ID))
}

// enterView is the page of who has not joined: one button, and whose it is.
type enterView struct {
	view
	Whose, Enter, Other string
	Next                string // "board" when that was asked for
}

// enter is what a link shows first. Looking joins nobody: messengers fetch links
// for a preview, and a phone may lie in somebody else's hand.
func (c *Pages) enter(w http.ResponseWriter, v view, p *roster.Person, next string, status int) {
	a := message.Args{"name": message.Name(p.Name)}
	v.Title, v.Installable, v.Failed = v.T("page.title"), false, status != http.StatusOK
	c.serve(w, status, "enter", enterView{v, v.say("page.enter.whose", a), v.say("page.enter.do", a),
		v.say("page.enter.other", a), next})
}

// joins is the button of that page.
func (c *Pages) joins(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, "")
		return
	}
	if !c.within(w, r, t, p, "post", postsAMinute) {
		c.tooMany(w, c.viewOf(r, t, p))
		return
	}
	to, next := "/c/"+r.PathValue("token"), r.PostFormValue("next")
	if next == "board" && staff(p) {
		to += "/board"
	} else {
		to, next = to+"#due", ""
	}
	if !joined(t, p) && c.join(r, t, p) != nil {
		w.Header().Set("Retry-After", "5")
		c.enter(w, c.viewOf(r, t, p), p, next, http.StatusServiceUnavailable)
		return
	}
	http.Redirect(w, r, to, http.StatusSeeOther) // #nosec G710 -- stays on this host
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
