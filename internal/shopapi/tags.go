package shopapi

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
)

// tagOf is a trip's entity tag (RFC 9110, 8.8.3): another one after every change,
// whoever made it. It is weak, since verdicts change with time alone.
func tagOf(t *roster.Trip) string { return `W/"` + strconv.FormatInt(t.Version, 10) + `"` }

// tagOfList stands for all trips of a list, and for what time alone changed.
func tagOfList(out listJSON, tags []string) string {
	var all strings.Builder
	for i, t := range out.Trips {
		all.WriteString(string(t.ID) + tags[i] + t.Status.String())
	}
	return `W/"` + keys.Hash(all.String())[:16] + `"`
}

// unchanged answers 304 to who has that already, and sets the tag for others.
func (c *call) unchanged(tag string) bool {
	c.w.Header().Set("ETag", tag)
	if !listed(c.Header.Get("If-None-Match"), tag) {
		return false
	}
	c.w.Header().Set("Cache-Control", "no-store")
	c.w.WriteHeader(http.StatusNotModified)
	return true
}

// listed tells whether a header names a tag, or any. W/ makes no difference: a
// tag is of a trip, not of the bytes of an answer.
func listed(header, tag string) bool {
	bare := func(s string) string { return strings.TrimPrefix(strings.TrimSpace(s), "W/") }
	return header != "" && slices.ContainsFunc(strings.Split(header, ","), func(s string) bool {
		return bare(s) == "*" || bare(s) == bare(tag)
	})
}

// ifMatch lets a change happen only while the trip is the one that the caller
// saw, when it says which (RFC 9110, 13.1.1). It is judged on the stored trip.
func (c *call) ifMatch(change booking.Change) booking.Change {
	header := c.Header.Get("If-Match")
	if header == "" {
		return change
	}
	return func(t *roster.Trip) (conversation.Change, error) {
		if !listed(header, tagOf(t)) {
			return conversation.Change{}, &booking.Refusal{Status: http.StatusPreconditionFailed,
				Detail: "The trip was changed since you read it: nothing was stored. Read it again; its ETag is " + tagOf(t) +
					" now."}
		}
		return change(t)
	}
}
