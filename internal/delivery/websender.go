package delivery

import (
	"context"
	"time"

	"gasmuster/internal/roster"
)

// Web is the channel of the chat pages.
const Web = "web"

// WebAddress is the address of a person's chat page on one trip.
func WebAddress(trip roster.TripID, person roster.PersonID) roster.Address {
	return roster.Address{Channel: Web, ID: string(trip) + "/" + string(person)}
}

// WebSender puts messages on chat pages: it appends them to the page's
// history, from where the page's live stream takes them.
type WebSender struct {
	Chats    roster.Chats
	Now      func() time.Time
	Appended func(roster.TripID, roster.PersonID) // tells open pages; may be nil
}

// Channel is Web.
func (WebSender) Channel() string { return Web }

// Send appends once: the entry's id is the envelope's, so a repeated send is
// harmless and the outcome is never unsure.
func (w WebSender) Send(ctx context.Context, e roster.Envelope) Outcome {
	entry := roster.Entry{ID: e.ID, At: w.Now(), Payload: e.Payload}
	if err := w.Chats.Append(ctx, e.Trip, e.Person, entry); err != nil {
		return Outcome{Result: Later, Reason: err.Error()}
	}
	if w.Appended != nil {
		w.Appended(e.Trip, e.Person)
	}
	return Outcome{Result: Sent}
}
