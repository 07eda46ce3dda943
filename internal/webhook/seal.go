package webhook

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"errors"
)

// Sealer keeps signing secrets under the deployment's own, so that whoever
// reads the store or a backup of it can't sign: AES-256-GCM, the key derived by
// HKDF-SHA256 (RFC 5869), the shop bound in as additional data.
type Sealer struct{ aead cipher.AEAD }

// NewSealer makes a Sealer of GASMUSTER_SECRET.
func NewSealer(secret string) (Sealer, error) {
	key, err := hkdf.Key(sha256.New, []byte(secret), nil, "gasmuster webhook signing secrets 1", 32)
	if err != nil {
		return Sealer{}, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return Sealer{}, err
	}
	aead, err := cipher.NewGCM(block)
	return Sealer{aead}, err
}

// Seal hides a secret.
func (s Sealer) Seal(secret, shop string) []byte {
	nonce := make([]byte, s.aead.NonceSize())
	rand.Read(nonce) // never fails, see crypto/rand
	return s.aead.Seal(nonce, nonce, []byte(secret), []byte(shop))
}

// Open brings it back; an error when it was sealed under another secret or for
// another shop.
func (s Sealer) Open(sealed []byte, shop string) (string, error) {
	n := s.aead.NonceSize()
	if len(sealed) < n {
		return "", errors.New("sealed secret is too short")
	}
	plain, err := s.aead.Open(nil, sealed[:n], sealed[n:], []byte(shop))
	return string(plain), err
}

// newSecret is a signing secret as the specification writes it: 32 random bytes
// in base64 after "whsec_".
func newSecret() string {
	b := make([]byte, 32)
	rand.Read(b)
	return "whsec_" + base64.StdEncoding.EncodeToString(b)
}
