package roster

import (
	"context"
	"encoding/json"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

// Redaction takes somebody's name out of what others wrote or were told. The
// zero value takes nothing out.
type Redaction struct {
	name   string
	words  map[string]bool // of the name, folded
	within []string        // of the name, in scripts that don't part words
	others map[string]bool // names of the others on the trip, whole
}

// Redaction is that of one person of the trip, as long as the trip knows the
// name. A word that is in somebody else's name too, and a particle of a name
// ("van", "de"), is not taken out where it stands alone.
func (t *Trip) Redaction(id PersonID) Redaction {
	p := t.Person(id)
	if p == nil || p.Erased {
		return Redaction{}
	}
	return t.redactionOf(p.Name, id)
}

// RedactionOfNewcomer is that of somebody who waits at the open invite.
func (t *Trip) RedactionOfNewcomer(id string) Redaction {
	n := t.Newcomer(id)
	if n == nil {
		return Redaction{}
	}
	return t.redactionOf(n.Name, "")
}

// redactionOf takes a name out that is one person's, or nobody's on the trip.
func (t *Trip) redactionOf(name string, id PersonID) Redaction {
	r := Redaction{name: name, words: map[string]bool{}, others: map[string]bool{}}
	for _, w := range nameWords(name) {
		r.words[w] = true
	}
	for _, o := range t.People {
		if o.ID == id {
			continue
		}
		r.others[o.Name] = true
		for _, w := range nameWords(o.Name) {
			delete(r.words, w)
		}
	}
	for _, w := range strings.Fields(name) {
		if r.words[fold(w)] && caseless(w) {
			r.within = append(r.within, w)
		}
	}
	if r.others[r.name] {
		return Redaction{} // two of one name: what is said may be about the other
	}
	return r
}

// Text is s with the name replaced by ErasedName: whole, and word by word as
// people type it, whatever the case and the accents.
func (r Redaction) Text(s string) string {
	if r.name == "" || s == "" || r.others[s] {
		return s
	}
	if strings.Contains(r.name, " ") || caseless(r.name) {
		s = strings.ReplaceAll(s, r.name, ErasedName)
	}
	for _, w := range r.within {
		s = strings.ReplaceAll(s, w, ErasedName)
	}
	var b strings.Builder
	for len(s) > 0 {
		n := wordLength(s)
		if n == 0 {
			_, n = utf8.DecodeRuneInString(s)
			b.WriteString(s[:n])
		} else if w := s[:n]; r.words[fold(w)] {
			b.WriteString(ErasedName)
		} else {
			b.WriteString(w)
		}
		s = s[n:]
	}
	return b.String()
}

// nameWords are the words of a name that stand for the person alone, folded.
func nameWords(name string) []string {
	var words []string
	for _, w := range strings.FieldsFunc(name, func(r rune) bool { return !inWord(r) }) {
		first, n := utf8.DecodeRuneInString(w)
		if n < len(w) && !unicode.IsLower(first) {
			words = append(words, fold(w))
		}
	}
	return words
}

// wordLength is the length in bytes of the word that s begins with, 0 when it
// begins with something else.
func wordLength(s string) int {
	if n := strings.IndexFunc(s, func(r rune) bool { return !inWord(r) }); n >= 0 {
		return n
	}
	return len(s)
}

// caseless tells scripts without capitals, most of which put no blanks between
// words either.
func caseless(w string) bool {
	return strings.IndexFunc(w, func(r rune) bool { return unicode.IsUpper(r) || unicode.IsLower(r) }) < 0
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsMark(r) || unicode.IsDigit(r) }

// fold is a word without case and accents.
func fold(w string) string {
	plain, _, err := transform.String(transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC), w)
	if err != nil {
		plain = w
	}
	return cases.Fold().String(plain)
}

// Rewrite is how a store takes somebody out of what it holds beside the trip.
type Rewrite struct {
	Person  PersonID
	Text    func(string) string                   // what was typed
	Payload func(json.RawMessage) json.RawMessage // a message.Message
	// Leave says of a waiting letter that it is not rewritten, and InFlight of
	// an address that what is being sent there right now may still be stored.
	Leave    func(Envelope) bool
	InFlight func(Address) bool
}

// Traces is the part of a store that erases somebody beside the trip itself:
// in others' pages, letters and dialogues, in the log, in what the shop's
// systems are told and in answers kept for the shop. The page and the letters
// of the erased person are removed elsewhere.
type Traces interface {
	// Redact rewrites every entry in place. It returns how many changed or were
	// being sent meanwhile: with any, it wants to be called again.
	Redact(ctx context.Context, shop ShopID, trip TripID, how Rewrite) (missed int, err error)
	// EraseTrip erases a trip at once, with everything about it and its people.
	EraseTrip(ctx context.Context, shop ShopID, trip TripID) error
}
