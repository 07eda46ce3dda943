package roster

import (
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"sync"
)

// What is stored and seldom read is kept packed, by DEFLATE (RFC 1951).

// largestPacked is more than anything packed can be, in bytes: a board of a few
// hundred people.
const largestPacked = 16 << 20

// packedMark is what a packed document begins with; JSON never does.
const packedMark = 0

// Pack packs a document of JSON for the store. Unpack takes it back, and leaves
// as it is what was not packed.
func Pack(plain []byte) []byte { return append([]byte{packedMark}, deflated(plain)...) }

// Unpack returns the document. It returns an error for what is marked as packed
// and can't be read.
func Unpack(stored []byte) ([]byte, error) {
	if len(stored) == 0 || stored[0] != packedMark {
		return stored, nil
	}
	return inflated(stored[1:])
}

// deflaters are used again: one takes more than half a megabyte.
var deflaters = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, flate.DefaultCompression)
	if err != nil {
		panic(err) // for a level that there isn't
	}
	return w
}}

func deflated(plain []byte) []byte {
	w := deflaters.Get().(*flate.Writer)
	defer deflaters.Put(w)
	var packed bytes.Buffer
	w.Reset(&packed)
	_, _ = w.Write(plain) // a buffer takes everything
	_ = w.Close()
	return packed.Bytes()
}

func inflated(packed []byte) ([]byte, error) {
	plain, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(packed)), largestPacked))
	if err != nil {
		return nil, fmt.Errorf("can't be unpacked: %w", err)
	}
	return plain, nil
}
