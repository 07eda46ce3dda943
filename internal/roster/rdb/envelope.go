package rdb

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"gasmuster/internal/roster"
)

// envelope reads "unsure attempts envelope", of a trip.
func envelope(trip roster.TripID, body string) (roster.Claimed, error) {
	parts := strings.SplitN(body, " ", 3)
	if len(parts) != 3 {
		return roster.Claimed{}, fmt.Errorf("%d parts, want 3", len(parts))
	}
	e, err := opened(trip, parts[2])
	if err != nil {
		return roster.Claimed{}, err
	}
	c := roster.Claimed{Envelope: e}
	c.Attempts, err = strconv.Atoi(parts[1])
	c.Unsure = parts[0] == "1"
	return c, err
}

// front is what is written on an envelope. Its trip, which begins its id, is known
// where it lies, and what is in it stands behind it, as it is.
type front struct {
	roster.Envelope
	Trip    *struct{} `json:"trip,omitempty"` // these in place of the envelope's own
	Payload *struct{} `json:"payload,omitempty"`
	ID      string    `json:"id"`
	To      string    `json:"to"`
	Address *struct{} `json:"address,omitempty"`
}

// sealed is an envelope as it is stored: its front, a line break, its payload.
func sealed(e roster.Envelope) ([]byte, error) {
	b, err := json.Marshal(front{Envelope: e, ID: strings.TrimPrefix(e.ID, string(e.Trip)), To: address(e.Address)})
	return append(append(b, '\n'), e.Payload...), err
}

// opened reads what sealed wrote.
func opened(trip roster.TripID, s string) (roster.Envelope, error) {
	head, payload, ok := strings.Cut(s, "\n")
	if !ok {
		return roster.Envelope{}, errors.New("an envelope without anything in it")
	}
	var f front
	if err := json.Unmarshal([]byte(head), &f); err != nil {
		return roster.Envelope{}, err
	}
	f.Envelope.ID, f.Envelope.Trip, f.Envelope.Payload = f.ID, trip, json.RawMessage(payload)
	if strings.HasPrefix(f.ID, ":") {
		f.Envelope.ID = string(trip) + f.ID
	}
	f.Envelope.Address = addressOf(f.To)
	return f.Envelope, nil
}
