package roster_test

import (
	"bytes"
	"strings"
	"sync"
	"testing"

	"gasmuster/internal/roster"
)

// What is packed comes back, from many hands at the same time, and takes less
// room; what was never packed is read as it is.
func TestPacked(t *testing.T) {
	var all sync.WaitGroup
	for _, word := range []string{"reading", "remind", "attend", "sign-off"} {
		all.Go(func() {
			plain := []byte(`["` + strings.Repeat(word, 500) + `"]`)
			for range 20 {
				stored := roster.Pack(plain)
				back, err := roster.Unpack(stored)
				if err != nil || !bytes.Equal(back, plain) || len(stored)*10 > len(plain) {
					t.Errorf("%s: %d bytes packed into %d come back as %d, %v", word, len(plain), len(stored), len(back), err)
				}
			}
		})
	}
	all.Wait()
	for _, plain := range []string{"", `{"next":3}`} {
		if back, err := roster.Unpack([]byte(plain)); err != nil || string(back) != plain {
			t.Errorf("%q is read as %q, %v", plain, back, err)
		}
	}
}

func TestPackedThatCannotBeRead(t *testing.T) {
	stored := roster.Pack([]byte(`{"reminded":{"evening":"2027-05-14T18:00:00Z"}}`))
	for name, broken := range map[string][]byte{"cut off": stored[:len(stored)/2], "something else": append(stored[:1:1], "{}{}{}"...)} {
		if got, err := roster.Unpack(broken); err == nil {
			t.Errorf("%s: read as %q", name, got)
		}
	}
}
