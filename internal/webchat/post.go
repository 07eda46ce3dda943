package webchat

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What one post may hold: as long a message as other chats allow, in bytes of
// a form.
const (
	maxForm = 64 << 10
	maxText = 4096
)

// posted is one thing that was typed or pressed.
type posted struct {
	text, do, of string // of is the entry whose button was pressed
	id           string // the client message id
	back         string // the query of the page to go back to
}

// take takes one post: through the door first, then onto the page. Nothing is
// shown as said that is not stored.
func (c *chat) take(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		c.tooLong(w, r)
		return
	}
	in := readPost(r)
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, in.text)
		return
	}
	if len([]rune(in.text)) > maxText {
		c.tooLong(w, r)
		return
	}
	if in.text != "" || in.do != "" {
		if err := c.say(r, t, p, in); err != nil {
			c.Log.Error("web: message not recorded", "trip", t.ID, "person", p.ID, "err", err)
			v := c.viewOf(r, t, p)
			v.Failed, v.Typed, v.FormID = true, in.text, in.id
			w.Header().Set("Retry-After", "5")
			c.render(w, http.StatusServiceUnavailable, c.withEntries(r, v, t, p))
			return
		}
	}
	http.Redirect(w, r, "/c/"+r.PathValue("token")+in.back+"#last", http.StatusSeeOther)
}

func (c *chat) tooLong(w http.ResponseWriter, r *http.Request) {
	v := c.empty(r, message.Reader{Language: acceptedLanguage(r)})
	v.Gone = v.T("page.too-long")
	c.render(w, http.StatusRequestEntityTooLarge, v)
}

func readPost(r *http.Request) posted {
	in := posted{text: strings.TrimSpace(r.PostForm.Get("text")), do: r.PostForm.Get("do"), of: r.PostForm.Get("of"),
		id: clientID(r.PostForm.Get("id"))}
	if command := r.PostForm.Get("command"); command != "" { // a button of the menu, whatever stands in the field
		in.text = command
	}
	if in.do != "" {
		in.text = ""
	}
	switch {
	case r.PostForm.Get("keys") == "letters":
		in.back = "?keys=letters"
	case r.PostForm.Get("live") == "1":
		in.back = "?live=1"
	}
	return in
}

// clientID is the client message id as sent, or a fresh one when it can't be one.
func clientID(s string) string {
	if s == "" || len(s) > 64 || strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") != "" {
		return rand.Text()[:16]
	}
	return s
}

// source is the event's id. It holds a hash of what was said beside the client
// message id: a page that the phone kept and that is sent again with another
// number is another message, and must not be taken for the first one.
func (in posted) source(p roster.PersonID) string {
	sum := sha256.Sum256([]byte(in.text + "\x00" + in.do))
	return "web:" + string(p) + ":" + in.id + "-" + hex.EncodeToString(sum[:4])
}

// say sends a post through the door, shows it as said, and waits a moment for
// the answer.
func (c *chat) say(r *http.Request, t *roster.Trip, p *roster.Person, in posted) error {
	at := c.Now()
	source := in.source(p.ID)
	event := delivery.Inbound{Kind: conversation.Text, Source: source, Ref: source, From: delivery.WebAddress(t.ID, p.ID),
		Trip: t.ID, Person: p.ID, At: at, Text: in.text, Language: acceptedLanguage(r)}
	if in.do != "" {
		event.Kind, event.Do = conversation.Button, in.do
	}
	reply, err := c.Door.Handle(r.Context(), event)
	if err != nil {
		return err
	}
	own := roster.Entry{ID: source, At: at, Own: true, Text: in.text}
	if in.do != "" {
		own.Text = c.label(r, t, p, in)
	}
	c.append(r, t, p, own)
	if reply != nil {
		c.append(r, t, p, roster.Entry{ID: source + ":reply", At: c.Now().Add(time.Millisecond), Payload: payload(reply.Message)})
		return nil
	}
	c.await(r.Context(), t.ID, p.ID, at)
	return nil
}

// append adds an entry to the page. The event is stored already, so that a
// failure here loses only the line on the page.
func (c *chat) append(r *http.Request, t *roster.Trip, p *roster.Person, e roster.Entry) {
	if err := c.Chats.Append(r.Context(), t.ID, p.ID, e); err != nil {
		c.Log.Warn("web: entry not shown", "trip", t.ID, "person", p.ID, "err", err)
	}
}

func payload(m message.Message) json.RawMessage {
	b, err := json.Marshal(m)
	if err != nil {
		panic(err) // our own types
	}
	return b
}

// label is what stands on the pressed button, as the person read it.
func (c *chat) label(r *http.Request, t *roster.Trip, p *roster.Person, in posted) string {
	v := c.viewOf(r, t, p)
	entries, err := c.Chats.Read(r.Context(), t.ID, p.ID, "")
	if err != nil {
		return v.T("page.pressed")
	}
	for _, e := range entries {
		if e.ID != in.of {
			continue
		}
		for _, row := range c.entry(e, v.to).Buttons {
			for _, b := range row {
				if b.Do == in.do {
					return b.Label
				}
			}
		}
	}
	return v.T("page.pressed")
}
