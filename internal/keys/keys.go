// Package keys is what keeps a shop's key: its hash, and the slowing down of
// whoever guesses. The API and the desk share both.
package keys

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
)

// Longest bounds a key that is looked at.
const Longest = 256

// Hash is what is kept of a key: hex SHA-256. A key is random and long, so that
// no slow or salted hash is needed.
func Hash(key string) string {
	sum := sha256.Sum256([]byte(key))
	return hex.EncodeToString(sum[:])
}

// New is a random key of 192 bits.
func New() string {
	b := make([]byte, 24)
	_, _ = rand.Read(b) // never fails, by its documentation
	return base64.RawURLEncoding.EncodeToString(b)
}
