package roster

import (
	"crypto/rand"
	"fmt"
	"strings"
	"time"

	"gasmuster/internal/evidence"
)

// tripAlphabet has 32 characters that survive handwriting and any channel:
// lower case, without 0 and 1.
const tripAlphabet = "abcdefghijklmnopqrstuvwxyz234567"

// NewTripID is a random trip id: 50 bits.
func NewTripID() TripID { return TripID(random(10)) }

// NewShopID is a random shop id: 50 bits.
func NewShopID() ShopID { return ShopID(random(10)) }

// NewToken is a random token for one attempt at a write: 130 bits.
func NewToken() string { return random(26) }

func random(n int) string {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails, by its documentation
	for i := range b {
		b[i] = tripAlphabet[b[i]%32] // 256 is a multiple of 32: no letter is likelier
	}
	return string(b)
}

// Valid tells whether id has the form of a trip id.
func (id TripID) Valid() bool {
	return len(id) == 10 && strings.Trim(string(id), tripAlphabet) == ""
}

// number gives the next number of this trip, with the letter of its kind.
func (d *Draft) number(kind string) string {
	d.Next++
	return fmt.Sprintf("%s%d", kind, d.Next)
}

func (d *Draft) newPerson() PersonID     { return PersonID(d.number("p")) }
func (d *Draft) newCylinder() CylinderID { return CylinderID(d.number("c")) }

// newReading is a number and its place in the order of saying.
func (d *Draft) newReading() (ReadingID, int) {
	id := ReadingID(d.number("r"))
	return id, d.Next
}

// moment is now, at its place in the order of saying.
func (d *Draft) moment(now time.Time) evidence.Moment {
	d.Next++
	return evidence.Moment{At: now, Nth: d.Next}
}
