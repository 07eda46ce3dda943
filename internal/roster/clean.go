package roster

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// CleanName makes what somebody typed fit to be shown inside our own sentences:
// one line of valid, composed text (NFC) without control characters and without
// those that turn the direction of writing or hide, so that no name can fake a
// line of its own. Blanks around and doubled inside go.
func CleanName(s string) string {
	s = strings.ToValidUTF8(s, "")
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), r == '\u2028', r == '\u2029':
			return ' '
		case hidden(r):
			return -1
		}
		return r
	}, s)
	return norm.NFC.String(strings.Join(strings.Fields(s), " "))
}

// hidden tells whether a character shows nothing and changes how others show.
func hidden(r rune) bool {
	return unicode.IsControl(r) ||
		(r >= '\u200b' && r <= '\u200f') || // zero width, marks of direction
		(r >= '\u202a' && r <= '\u202e') || // embedding and override
		(r >= '\u2066' && r <= '\u2069') || // isolates
		r == '\u061c' || r == '\u2060' || r == '\ufeff' ||
		(r >= 0xE0000 && r <= 0xE007F) || // tags
		unicode.Is(unicode.Co, r)
}

// Clean cleans every text of a booked trip in place; see CleanName.
func (t *Trip) Clean() {
	clean(&t.Name, &t.Zone, &t.Evening, &t.Quiet)
	for i := range t.Dives {
		clean(&t.Dives[i].Site)
	}
	for i := range t.Analysers {
		clean(&t.Analysers[i].Name)
	}
	for _, p := range t.People {
		p.Clean()
	}
}

// Clean cleans every text of a booked person in place.
func (p *Person) Clean() {
	clean(&p.Name, &p.Team, &p.Language, &p.Units)
	for _, c := range p.Cylinders {
		clean(&c.Label, &c.Size, &c.Owner)
	}
}

func clean(texts ...*string) {
	for _, s := range texts {
		*s = CleanName(*s)
	}
}

// length counts characters as people do: runes, not bytes.
func length(s string) int { return utf8.RuneCountInString(s) }
