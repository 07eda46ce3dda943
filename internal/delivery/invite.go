package delivery

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"strconv"
	"strings"

	"gasmuster/internal/roster"
)

// Invites makes and checks invite codes. A code is
//
//	<trip>-<person>-<22 characters of base64url>
//
// where the last part is the first 16 bytes of an HMAC-SHA256 under the
// deployment's secret of trip, person and the person's invite generation. Only
// the generation is stored, so a link can be shown again, and counting the
// generation up revokes it. A code fits the 64 characters of [A-Za-z0-9_-]
// that a Telegram deep link carries, and is the token of the chat page.
type Invites struct{ secret []byte }

// NewInvites makes Invites from GASMUSTER_SECRET.
func NewInvites(secret string) Invites { return Invites{secret: []byte(secret)} }

// The reasons an invite does not open the door.
var (
	ErrInviteWrong   = errors.New("not an invite code")
	ErrInviteGone    = errors.New("invite for a trip that is over or erased")
	ErrInviteRevoked = errors.New("invite was replaced by a newer one")
	ErrInviteUsed    = errors.New("invite was used from another account")
	ErrInviteTaken   = errors.New("this account is somebody else on the same trip")
)

// Code is the invite code of a person.
func (i Invites) Code(trip roster.TripID, person roster.PersonID, generation int) string {
	return string(trip) + "-" + string(person) + "-" + i.mac(trip, person, generation)
}

func (i Invites) mac(trip roster.TripID, person roster.PersonID, generation int) string {
	h := hmac.New(sha256.New, i.secret)
	h.Write([]byte("invite\x00" + string(trip) + "\x00" + string(person) + "\x00" + strconv.Itoa(generation)))
	return base64.RawURLEncoding.EncodeToString(h.Sum(nil)[:16])
}

// blind stands for an address in what is remembered for a while of somebody who
// is on no trip, and whom nobody could forget.
func (i Invites) blind(a roster.Address) string {
	h := hmac.New(sha256.New, i.secret)
	h.Write([]byte("address\x00" + a.Channel + "\x00" + a.ID))
	return base64.RawURLEncoding.EncodeToString(h.Sum(nil)[:16])
}

// ParseInvite splits a code without judging it: whom it claims to be for.
func ParseInvite(code string) (trip roster.TripID, person roster.PersonID, ok bool) {
	parts := strings.SplitN(strings.TrimSpace(code), "-", 3)
	if len(parts) != 3 || !isTripID(parts[0]) || !isPersonID(parts[1]) || len(parts[2]) != 22 {
		return "", "", false
	}
	return roster.TripID(parts[0]), roster.PersonID(parts[1]), true
}

// Verify judges a code against the person it claims to be for, in constant
// time. It returns ErrInviteRevoked for a code of an earlier generation and
// ErrInviteWrong for any other that does not fit.
func (i Invites) Verify(code string, trip roster.TripID, p *roster.Person) error {
	code = strings.TrimSpace(code)
	if hmac.Equal([]byte(code), []byte(i.Code(trip, p.ID, p.Generation))) {
		return nil
	}
	for g := p.Generation - 1; g >= 0 && g >= p.Generation-100; g-- {
		if hmac.Equal([]byte(code), []byte(i.Code(trip, p.ID, g))) {
			return ErrInviteRevoked
		}
	}
	return ErrInviteWrong
}

func isTripID(s string) bool {
	return len(s) == 10 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz234567") == ""
}

func isPersonID(s string) bool {
	return len(s) >= 2 && len(s) <= 8 && s[0] == 'p' && strings.Trim(s[1:], "0123456789") == ""
}
