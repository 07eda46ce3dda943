package roster

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"fmt"
	"io"
	"sync"
)

// SignedBoard is the board under a signature. It is stored packed, as JSON by
// DEFLATE (RFC 1951): it holds the findings and numbers of everybody, is read
// for little but the record, and would be nine tenths of a trip in the store. It
// is packed once, when the dive is signed.
type SignedBoard struct {
	Board
	packed []byte
}

// seal is a board as it goes under a signature.
func seal(b Board) SignedBoard { return SignedBoard{Board: b, packed: pack(b)} }

// pack is a value as JSON by DEFLATE.
func pack(v any) []byte {
	plain, err := json.Marshal(v)
	if err != nil {
		panic(err) // our own types, and no number in them is infinite
	}
	var packed bytes.Buffer
	w := packers.Get().(*flate.Writer)
	defer packers.Put(w)
	w.Reset(&packed)
	_, _ = w.Write(plain) // a buffer takes everything
	_ = w.Close()
	return packed.Bytes()
}

// packers are used again: a new one takes longer to make than it packs.
var packers = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, flate.DefaultCompression)
	if err != nil {
		panic(err) // for a level that there isn't
	}
	return w
}}

// unpack reads what pack wrote.
func unpack(packed []byte, into any) error {
	plain, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(packed)), largestBoard))
	if err != nil {
		return fmt.Errorf("unpacking: %w", err)
	}
	return json.Unmarshal(plain, into)
}

// Equal tells whether two signed boards are the same, to the byte.
func (s SignedBoard) Equal(z SignedBoard) bool { return bytes.Equal(s.packed, z.packed) }

// MarshalJSON is the stored form.
func (s SignedBoard) MarshalJSON() ([]byte, error) { return json.Marshal(s.packed) }

// largestBoard is more than anything packed can be, in bytes: the board of a few hundred people.
const largestBoard = 16 << 20

// UnmarshalJSON reads the stored form. A signature without a board is refused:
// what is reckoned for later dives rests on who was on the ones before.
func (s *SignedBoard) UnmarshalJSON(b []byte) error {
	s.Board = Board{}
	if err := json.Unmarshal(b, &s.packed); err != nil {
		return fmt.Errorf("the board under a signature is not packed: %w", err)
	}
	if err := unpack(s.packed, &s.Board); err != nil {
		return fmt.Errorf("the board under a signature can't be read: %w", err)
	}
	return nil
}
