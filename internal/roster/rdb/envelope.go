package rdb

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"

	"gasmuster/internal/roster"
)

// claimed reads what taking a message answers: its queue, the lease's token, "1" when
// an attempt may have arrived, how many there were, the envelope.
func claimed(parts []string) (roster.Claimed, error) {
	trip, addr := ofQueue(parts[0])
	e, err := opened(trip, parts[4])
	c := roster.Claimed{Envelope: e, Token: parts[1]}
	c.Trip, c.Address, c.Unsure = trip, addr, parts[2] == "1"
	attempts, wrong := strconv.Atoi(parts[3])
	c.Attempts = attempts
	return c, errors.Join(err, wrong)
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
