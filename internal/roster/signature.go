package roster

import (
	"time"
)

// SignOff is a leader's signature under one dive, with the board as it was and
// the facts that it stands for. It stays in the record whatever becomes of it.
type SignOff struct {
	ID        string      `json:"id"`
	Dive      int         `json:"dive"`
	By        PersonID    `json:"by"`
	At        time.Time   `json:"at"`
	Lapses    time.Time   `json:"lapses"` // unless the dive was dived
	Facts     Facts       `json:"facts"`
	Board     SignedBoard `json:"board"`
	Broken    *Broken     `json:"broken,omitempty"`
	Withdrawn *Reopened   `json:"withdrawn,omitempty"` // by hand
}

// Broken is the first change that broke a signature. It stays broken.
type Broken struct {
	At     time.Time `json:"at"`
	By     PersonID  `json:"by,omitempty"`
	What   string    `json:"what"`             // the name of the fact, see Facts
	Person PersonID  `json:"person,omitempty"` // whose fact it was, "" for the trip's
	Was    string    `json:"was,omitempty"`
	Now    string    `json:"now,omitempty"`
}

// Reopened says who withdrew a signature, when and why.
type Reopened struct {
	By     PersonID  `json:"by,omitempty"`
	At     time.Time `json:"at"`
	Reason string    `json:"reason"`
}
