package delivery

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"strconv"
	"strings"

	"gasmuster/internal/roster"
)

// Codes of doors that are no one person's: a host's, and the open invite of a trip.
// They are made as invites are, under the same secret, of another kind each:
//
//	host-<host>-<22 characters>     open-<trip>-<22 characters>
//
// and a newcomer who waits on a page has a ticket, 22 characters of trip and id.

const (
	hostPrefix = "host-"
	openPrefix = "open-"
)

// earlier is how many generations back a code is still known to be an old one.
const earlier = 100

func (i Invites) sign(parts ...string) string {
	h := hmac.New(sha256.New, i.secret)
	h.Write([]byte(strings.Join(parts, "\x00")))
	return base64.RawURLEncoding.EncodeToString(h.Sum(nil)[:16])
}

// HostCode is the code of a host's link.
func (i Invites) HostCode(h roster.HostID, generation int) string {
	return hostPrefix + string(h) + "-" + i.sign("host", string(h), strconv.Itoa(generation))
}

// OpenCode is the code of a trip's open invite.
func (i Invites) OpenCode(t roster.TripID, generation int) string {
	return openPrefix + string(t) + "-" + i.sign("open", string(t), strconv.Itoa(generation))
}

// Ticket is what somebody shows who waits on a page.
func (i Invites) Ticket(t roster.TripID, newcomer string) string {
	return i.sign("ticket", string(t), newcomer)
}

// isTicket judges one in constant time.
func (i Invites) isTicket(ticket string, t roster.TripID, newcomer string) bool {
	return hmac.Equal([]byte(ticket), []byte(i.Ticket(t, newcomer)))
}

// splitCode takes a code apart without judging it; false when it is none of that kind.
func splitCode(code, prefix string) (id string, ok bool) {
	rest, found := strings.CutPrefix(strings.TrimSpace(code), prefix)
	id, mac, dash := strings.Cut(rest, "-")
	return id, found && dash && isTripID(id) && len(mac) == 22
}

// verify judges a code of the generation that make builds codes of: ErrInviteRevoked
// for an earlier one, ErrInviteWrong for any other.
func verify(code string, generation int, make func(generation int) string) error {
	code = strings.TrimSpace(code)
	if generation > 0 && hmac.Equal([]byte(code), []byte(make(generation))) {
		return nil
	}
	for g := generation - 1; g >= 1 && g >= generation-earlier; g-- {
		if hmac.Equal([]byte(code), []byte(make(g))) {
			return ErrInviteRevoked
		}
	}
	return ErrInviteWrong
}
