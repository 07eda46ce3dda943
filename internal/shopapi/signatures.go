package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// signaturesJSON is every signature of a trip, the earliest first: those that
// do not stand any more stay on the record.
type signaturesJSON struct {
	Trip       roster.TripID   `json:"trip"`
	Signatures []signatureJSON `json:"signatures"`
}

type signatureJSON struct {
	Dive     int             `json:"dive"`
	By       roster.PersonID `json:"by"`
	Name     string          `json:"name"`
	At       time.Time       `json:"at"`
	Standing bool            `json:"standing"`
	State    string          `json:"state"`     // "standing", "broken", "lapsed" or "withdrawn"
	Lapses   time.Time       `json:"lapses_at"` // unless the dive was dived
	// Differs is the first fact that differs, of one that is broken.
	Differs   *differsJSON `json:"differs,omitempty"`
	Withdrawn *outJSON     `json:"withdrawn,omitempty"`
}

// differsJSON is a fact that a signature stood for and that is another one now.
type differsJSON struct {
	At     time.Time       `json:"at"`
	By     roster.PersonID `json:"by,omitempty"` // whose act it was, "" for the shop
	What   string          `json:"what"`
	Person roster.PersonID `json:"person,omitempty"` // whose fact it is, "" for the trip's
	Text   string          `json:"text"`             // what it was and what it is, in words
}

func (a *api) signatures(c *call) {
	if t, ok := a.trip(c); ok {
		answer(c.w, http.StatusOK, a.signaturesOut(t, c.now))
	}
}

func (a *api) signaturesOut(t *roster.Trip, now time.Time) signaturesJSON {
	out := signaturesJSON{Trip: t.ID, Signatures: []signatureJSON{}}
	for i := range t.SignOffs {
		s := &t.SignOffs[i]
		is := t.Standing(s, now)
		one := signatureJSON{Dive: s.Dive, By: s.By, Name: nameOf(t, s.By), At: s.At,
			Standing: is.State == roster.StandsStanding,
			State:    string(is.State), Lapses: s.Lapses}
		if b := is.Differs; b != nil {
			one.Differs = &differsJSON{b.At, b.By, b.What, b.Person, a.Renderer.Line(message.Differs(t, b), message.Reader{})}
		}
		if w := s.Withdrawn; w != nil {
			one.Withdrawn = &outJSON{w.By, w.At, w.Reason}
		}
		out.Signatures = append(out.Signatures, one)
	}
	return out
}

// nameOf is a person's name, "" of who is erased.
func nameOf(t *roster.Trip, id roster.PersonID) string {
	if p := t.Person(id); p != nil && !p.Erased {
		return p.Name
	}
	return ""
}
