package roster

import (
	"encoding/json"
	"fmt"
	"time"
)

// storedSignOff is a signature as it is stored. The board under it is kept
// packed: it holds the findings and numbers of everybody, is never read
// but for the record, and would be nine tenths of a trip in the store.
type storedSignOff struct {
	Dive     int       `json:"dive"`
	By       PersonID  `json:"by"`
	At       time.Time `json:"at"`
	Board    *Board    `json:"board,omitempty"`  // of older stored forms
	Packed   []byte    `json:"packed,omitempty"` // the board as JSON, by DEFLATE (RFC 1951)
	Reopened *Reopened `json:"reopened,omitempty"`
}

// MarshalJSON is the stored form.
func (s SignOff) MarshalJSON() ([]byte, error) {
	packed, err := pack(s.Board)
	if err != nil {
		return nil, err
	}
	return json.Marshal(storedSignOff{Dive: s.Dive, By: s.By, At: s.At, Packed: packed, Reopened: s.Reopened})
}

// UnmarshalJSON reads the stored form, and older ones with the board as it is.
func (s *SignOff) UnmarshalJSON(b []byte) error {
	var stored storedSignOff
	if err := json.Unmarshal(b, &stored); err != nil {
		return err
	}
	*s = SignOff{Dive: stored.Dive, By: stored.By, At: stored.At, Reopened: stored.Reopened}
	switch {
	case stored.Packed != nil:
		return unpack(stored.Packed, &s.Board)
	case stored.Board != nil:
		s.Board = *stored.Board
	}
	return nil
}

func pack(b Board) ([]byte, error) {
	plain, err := json.Marshal(b)
	if err != nil {
		return nil, err
	}
	return deflated(plain), nil
}

func unpack(packed []byte, b *Board) error {
	plain, err := inflated(packed)
	if err != nil {
		return fmt.Errorf("the board under a signature %w", err)
	}
	if err := json.Unmarshal(plain, b); err != nil {
		return fmt.Errorf("the board under a signature can't be read: %w", err)
	}
	return nil
}
