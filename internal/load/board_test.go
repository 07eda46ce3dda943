package load

import (
	"fmt"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// BenchmarkBoard is a leader's /board of forty divers, most of them analysed:
// from the store to the text as it is sent. Nothing is remembered from one time
// to the next.
func BenchmarkBoard(b *testing.B) {
	e := embed(b, startRedis(b, "everysec").client(b), "http://127.0.0.1:9", time.Now)
	full := newBoat(1_000_000, 40, time.Now())
	for i, p := range full.draft.People {
		for k, c := range p.Cylinders {
			if i%10 == 0 && k == 0 {
				continue // has not analysed yet
			}
			now := time.Now().Add(time.Duration(i-60) * time.Minute)
			full.draft.Record(c.ID, roster.Reading{Percent: c.Asked - 0.4, At: now, By: p.ID, Analyser: p.Analyser}, now)
		}
	}
	if err := full.store(b.Context(), e); err != nil {
		b.Fatal(err)
	}
	leader := full.trip.Leaders()[0]
	var took []float64
	for b.Loop() {
		for range 200 {
			began := time.Now()
			if text := boardOf(b, e, full.trip.ID, leader); len(text) < 500 {
				b.Fatalf("no board: %q", text)
			}
			took = append(took, 1000*time.Since(began).Seconds())
		}
	}
	report(b, figure{what: "a board of 40 divers, from the store to its text", got: median(took), unit: "ms", want: 5,
		atMost: true,
		note:   fmt.Sprintf("99 of 100 within %s ms", number(quantile(took, 0.99)))}, "ms")
}

// boardOf loads the trip, asks for the board and writes it out.
func boardOf(b *testing.B, e embedded, id roster.TripID, leader *roster.Person) string {
	l, err := e.Store.Load(b.Context(), id, "")
	if err != nil {
		b.Fatal(err)
	}
	r := conversation.Step(conversation.Input{Trip: l.Trip, Now: time.Now(), Trips: 1, Event: conversation.Event{
		Kind: conversation.Text, Person: leader.ID, Address: leader.Addresses[0], At: time.Now(), Text: "/board"}})
	if len(r.Letters) == 0 {
		b.Fatal("no answer")
	}
	return e.Renderer.Text(r.Letters[0].Message, message.Reader{Language: "en", Units: "m"}, message.HTML)
}
