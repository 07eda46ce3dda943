package roster

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// CleanName makes what somebody typed fit to be shown inside our own sentences:
// one line of valid, composed text (NFC) without control characters, without
// those that turn the direction of writing or hide, and without the marks that
// verdicts are shown with, so that no name can fake a line or a verdict of its
// own. Joined emoji and letters stay joined. Blanks around and doubled inside go.
func CleanName(s string) string {
	s = strings.Map(shown, strings.ToValidUTF8(s, ""))
	return norm.NFC.String(strings.Join(strings.Fields(joined(s)), " "))
}

// shown is the character as it stays, -1 for none. Joiners are looked at by joined.
func shown(r rune) rune {
	switch {
	case unicode.IsSpace(r), r == '\u2028', r == '\u2029':
		return ' '
	case r == joiner, r == nonJoiner:
		return r
	case hidden(r), strings.ContainsRune(verdictMarks, r):
		return -1
	}
	return r
}

// verdictMarks are what verdicts are shown with, and what could be taken for it.
const verdictMarks = "✅⛔⚠❓▢▫☑✔✓🚫🛑❌❎🟢🔴🟡"

const (
	joiner    = '\u200d'
	nonJoiner = '\u200c'
	colour    = '\ufe0f' // shows the character before it as a picture
)

// joined drops the joiners that join nothing, and what colours nothing.
func joined(s string) string {
	runes := []rune(s)
	var b strings.Builder
	before := rune(0)
	for i, r := range runes {
		if (r == joiner || r == nonJoiner) && !joins(r, before, runes[i+1:]) || r == colour && !pictured(before) {
			continue
		}
		b.WriteRune(r)
		before = r
	}
	return b.String()
}

// joins tells whether a joiner stands between two pictures of one emoji, or two
// letters of a script that is written joined.
func joins(r, before rune, rest []rune) bool {
	if len(rest) == 0 {
		return false
	}
	if r == joiner && pictured(before) && unicode.Is(unicode.So, rest[0]) {
		return true
	}
	return unicode.Is(unicode.Arabic, before) && unicode.Is(unicode.Arabic, rest[0])
}

// pictured tells whether r is a picture or what colours the one before it.
func pictured(r rune) bool {
	return unicode.Is(unicode.So, r) || r >= 0x1F3FB && r <= 0x1F3FF || r == colour
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
	for i := range p.Outsides {
		clean(&p.Outsides[i].Reason)
	}
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
