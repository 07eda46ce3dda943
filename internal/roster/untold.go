package roster

import (
	"encoding/json"
	"time"
)

// Untold is what the shop changed and nobody was told yet: several changes
// within a minute are one message. It is replaced, never written to.
type Untold struct {
	Since   time.Time    `json:"since"`              // of the first change
	Last    time.Time    `json:"last"`               // of the last one
	Was     Plan         `json:"was"`                // as people know it
	TooRich []CylinderID `json:"too_rich,omitempty"` // requests that were so before, and are no news
	Consent bool         `json:"consent,omitempty"`  // leaders are to be asked for theirs
	Said    []Said       `json:"said,omitempty"`
}

// Said is a line of what the shop did, for one person or, with To "", for the
// leaders. It is written and read by the dialogue.
type Said struct {
	To   PersonID        `json:"to,omitempty"`
	Line json.RawMessage `json:"line"`
}

// How long what the shop changed waits for more of it.
const (
	untoldApart   = time.Minute
	untoldLongest = 2 * time.Minute
)

// Due is when it is told: a minute after the last change, two after the first;
// zero for nothing to tell.
func (u *Untold) Due() time.Time {
	if u == nil {
		return time.Time{}
	}
	apart, longest := u.Last.Add(untoldApart), u.Since.Add(untoldLongest)
	if longest.Before(apart) {
		return longest
	}
	return apart
}
