package webchat

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
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
	text, do, of string        // of is the entry whose button was pressed
	shown        string        // what stands on the page instead of text
	id           string        // the client message id
	age          time.Duration // how long the phone has kept it
	back         string        // the query of the page to go back to
	put, keys    string        // a chip or another keyboard that is asked for: nothing is said yet
}

// longestKept is how old a message may say that it is.
const longestKept = 24 * time.Hour

// take takes one post: through the door first, then onto the page. Nothing is
// shown as said that is not stored.
func (c *Pages) take(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		c.tooLong(w, r)
		return
	}
	in := readPost(r)
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.notOpen(w, r, err, in.text)
		return
	}
	switch {
	case len([]rune(in.text)) > maxText:
		c.tooLong(w, r)
	case in.put != "" || in.keys != "":
		c.retype(w, r, in, t, p)
	case !c.within(w, r, t, p, "post", postsAMinute):
		c.refused(w, r, http.StatusTooManyRequests, in, c.viewOf(r, t, p), t, p)
	case in.text == "" && in.do == "":
		c.taken(w, r, in, nil)
	default:
		own, err := c.say(r, t, p, in)
		if err != nil {
			c.Log.Error("web: message not recorded", "trip", t.ID, "person", p.ID, "err", err)
			w.Header().Set("Retry-After", "5")
			c.refused(w, r, http.StatusServiceUnavailable, in, c.viewOf(r, t, p), t, p)
			return
		}
		if !scripted(r) {
			c.await(r.Context(), t.ID, p.ID, own.At)
		}
		one := c.fresh(c.viewOf(r, c.after(r, t), p), own)
		c.taken(w, r, in, &one)
	}
}

// after is the trip with what was just said, for the script, which shows what
// became of it at once; the one before where it can't be had.
func (c *Pages) after(r *http.Request, before *roster.Trip) *roster.Trip {
	if t, _, err := c.Door.Invited(r.Context(), r.PathValue("token")); scripted(r) && err == nil {
		return t
	}
	return before
}

// retype shows the page again with what was typed, begun with a cylinder's
// label or for another keyboard. The script does the same on the phone.
func (c *Pages) retype(w http.ResponseWriter, r *http.Request, in posted, t *roster.Trip, p *roster.Person) {
	v := c.viewOf(r, t, p)
	if in.keys != "" {
		v.Letters = in.keys == "letters"
		v.Keypad = !p.Leader && !v.Letters
	}
	v.Typed, v.FormID = in.text, in.id
	if in.put != "" {
		v.Typed = begun(in.text, message.Clean(in.put))
	}
	c.render(w, http.StatusOK, c.withEntries(r, v, t, p))
}

// begun puts a cylinder's label before a number, or behind one that has its own.
func begun(typed, label string) string {
	switch {
	case typed == "":
		return label + ": "
	case strings.ContainsAny(typed, ":"):
		return strings.TrimRight(typed, ", ") + ", " + label + ": "
	}
	return label + ": " + typed
}

// scripted tells whether the page's script asks. It wants data, and gets the
// answer by the live stream.
func scripted(r *http.Request) bool { return r.Header.Get("Accept") == "application/json" }

// result is what the page's script is told about a post.
type result struct {
	Stored bool      `json:"stored"`
	Why    string    `json:"why,omitempty"` // when it is not, and sending it again makes no sense
	Entry  *newEntry `json:"entry,omitempty"`
	Answer string    `json:"answer,omitempty"` // to what the board kept
}

func tell(w http.ResponseWriter, status int, r result) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(r)
}

func (c *Pages) taken(w http.ResponseWriter, r *http.Request, in posted, own *newEntry) {
	if scripted(r) {
		tell(w, http.StatusOK, result{Stored: true, Entry: own})
		return
	}
	http.Redirect(w, r, "/c/"+r.PathValue("token")+in.back+"#due", http.StatusSeeOther) // #nosec G710 -- stays on this host
}

// refused says that a post is not recorded, and keeps what was typed.
func (c *Pages) refused(w http.ResponseWriter, r *http.Request, status int, in posted, v view, t *roster.Trip,
	p *roster.Person) {
	if scripted(r) {
		tell(w, status, result{})
		return
	}
	v.Failed, v.Typed, v.FormID = true, in.text, in.id
	c.render(w, status, c.withEntries(r, v, t, p))
}

// notOpen answers a post to a link that opens nothing.
func (c *Pages) notOpen(w http.ResponseWriter, r *http.Request, err error, typed string) {
	if !scripted(r) {
		c.closed(w, r, err, typed)
		return
	}
	v := c.empty(r, message.Reader{Language: acceptedLanguage(r)})
	switch {
	case errors.Is(err, delivery.ErrInviteRevoked):
		tell(w, http.StatusGone, result{Why: v.T("page.revoked")})
	case errors.Is(err, delivery.ErrInviteGone):
		tell(w, http.StatusGone, result{Why: v.T("page.gone")})
	case errors.Is(err, delivery.ErrInviteWrong):
		tell(w, http.StatusNotFound, result{Why: v.T("page.wrong")})
	default:
		c.Log.Error("web: store not reachable", "err", err)
		w.Header().Set("Retry-After", "5")
		tell(w, http.StatusServiceUnavailable, result{})
	}
}

func (c *Pages) tooLong(w http.ResponseWriter, r *http.Request) {
	v := c.empty(r, message.Reader{Language: acceptedLanguage(r)})
	v.Gone = v.T("page.too-long")
	if scripted(r) {
		tell(w, http.StatusRequestEntityTooLarge, result{Why: v.Gone})
		return
	}
	c.render(w, http.StatusRequestEntityTooLarge, v)
}

func readPost(r *http.Request) posted {
	in := posted{text: strings.TrimSpace(r.PostForm.Get("text")), do: r.PostForm.Get("do"), of: r.PostForm.Get("of"),
		id: clientID(r.PostForm.Get("id")), put: r.PostForm.Get("put"), keys: r.PostForm.Get("keys")}
	if command := r.PostForm.Get("command"); command != "" { // a button of the menu, whatever stands in the field
		in.text = command
	}
	if in.do != "" {
		in.text = ""
	}
	if ms, err := strconv.ParseInt(r.PostForm.Get("age"), 10, 64); err == nil && ms > 0 {
		in.age = min(time.Duration(min(ms, longestKept.Milliseconds()))*time.Millisecond, longestKept)
	}
	switch {
	case r.PostForm.Get("letters") == "1":
		in.back = "?keys=letters"
	case r.PostForm.Get("live") == "1":
		in.back = "?live=1"
	}
	return in
}

// clientID is the client message id as sent, or a fresh one when it can't be one.
func clientID(s string) string {
	if s == "" || len(s) > 64 || strings.Trim(s,
		"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") != "" {
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

// clientOf is the client message id in the id of an own entry.
func clientOf(source string) string {
	_, rest, _ := strings.Cut(strings.TrimPrefix(source, "web:"), ":")
	if i := strings.LastIndexByte(rest, '-'); i > 0 {
		return rest[:i]
	}
	return ""
}

// say sends a post through the door and shows it as said. A message that the
// phone has kept was said when it was typed, and is recorded now.
func (c *Pages) say(r *http.Request, t *roster.Trip, p *roster.Person, in posted) (own roster.Entry, err error) {
	at := c.Now()
	source := in.source(p.ID)
	event := delivery.Inbound{Kind: conversation.Text, Source: source, Ref: source, From: delivery.WebAddress(t.ID, p.ID),
		Trip: t.ID, Person: p.ID, At: at.Add(-in.age), Text: in.text, Language: acceptedLanguage(r)}
	if in.do != "" {
		event.Kind, event.Do = conversation.Button, in.do
	}
	reply, err := c.Door.Handle(r.Context(), event)
	if err != nil {
		return own, err
	}
	own = roster.Entry{ID: source, At: at, Own: true, Text: in.text}
	switch {
	case in.shown != "":
		own.Text = in.shown
	case in.do != "":
		own.Text = c.label(r, t, p, in)
	}
	c.append(r, t, p, own)
	if reply != nil {
		c.append(r, t, p, roster.Entry{ID: source + ":reply", At: c.Now().Add(time.Millisecond),
			Payload: payload(reply.Message)})
	}
	c.hub.tell(t.ID)
	return own, nil
}

// append adds an entry to the page. The event is stored already, so that a
// failure here loses only the line on the page.
func (c *Pages) append(r *http.Request, t *roster.Trip, p *roster.Person, e roster.Entry) {
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
func (c *Pages) label(r *http.Request, t *roster.Trip, p *roster.Person, in posted) string {
	v := c.viewOf(r, t, p)
	entries, err := c.Chats.Read(r.Context(), t.ID, p.ID, "")
	if err != nil {
		return v.T("page.pressed")
	}
	for _, e := range entries {
		if e.ID != in.of {
			continue
		}
		for _, row := range c.entry(v, e).Buttons {
			for _, b := range row {
				if b.Do == in.do {
					return b.Label
				}
			}
		}
	}
	return v.T("page.pressed")
}
