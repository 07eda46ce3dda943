package message

import (
	"slices"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
)

// writer writes lines for one reader.
type writer struct {
	r      *Renderer
	to     Reader
	tag    string // of the catalogue
	rtl    bool
	nested int // in how many lines this one stands
	tongue
}

func (r *Renderer) writer(to Reader) writer {
	tag := "en"
	if found := match(to.Language, r.offered); found != "" {
		tag = found
	}
	return writer{r: r, to: to, tag: tag, rtl: rtl(tag), tongue: tongues[tag]()}
}

// numbers is how numbers are written in a language: its decimal sign, and the
// digits 0 to 9 that analysers, gauges, computers and labels show, whatever
// digits it has of its own. Nobody is to compare two kinds of digits on a
// rocking boat.
func numbers(tag string) language.Tag {
	t, err := language.Make(tag).SetTypeForKey("nu", "latn")
	if err != nil {
		return language.English
	}
	return t
}

// line is one line of plain text.
func (w writer) line(l Line) string {
	if l.Key == "" {
		return ""
	}
	text := w.withEnglish(l, w.sentence(l))
	if w.rtl && w.nested == 0 {
		return isolateLatin(text)
	}
	return text
}

func (w writer) sentence(l Line) string {
	inner := w
	inner.nested++
	values := make(map[string]any, len(l.Values))
	for _, v := range l.Values {
		values[v.Name] = inner.value(v.Value)
	}
	n, counted := l.Values.Of("count")
	text, err := w.localize(l.Key, values, int(n.N), counted)
	if err != nil && text == "" {
		return w.missing(l)
	}
	return text
}

// localize is the catalogue's text with the values put in; counted says that
// n chooses the plural form. With an error there may be a text all the same, in
// English or of another form.
func (w writer) localize(key string, values map[string]any, n int, counted bool) (string, error) {
	c := &i18n.LocalizeConfig{MessageID: key, TemplateData: values}
	if counted {
		c.PluralCount = n
	}
	return w.texts.Localize(c)
}

// withEnglish puts the English verdict beside one that no practitioner has
// reviewed.
func (w writer) withEnglish(l Line, text string) string {
	if !strings.HasPrefix(l.Key, "verdict.") || slices.Contains(reviewedLanguages, w.tag) {
		return text
	}
	word := w.r.writer(Reader{Language: "en"}).verdictWord(l)
	if strings.HasPrefix(text, word) {
		return text
	}
	if w.rtl {
		word = isolated(word)
	}
	return text + " (" + word + ")"
}

// verdictWord is the word of a verdict without its symbol and its values: GO; GO,
// BUT MAX; STOP, NO-GO.
func (w writer) verdictWord(l Line) string {
	const blank = "\x00"
	bare := Line{Key: l.Key, Values: slices.Clone(l.Values)}
	for i := range bare.Values {
		bare.Values[i].Value = Value{Kind: kindPart, S: blank}
	}
	text, _, _ := strings.Cut(w.line(bare), blank)
	_, words, _ := strings.Cut(text, " ")
	return strings.TrimRight(words, " ·")
}

// word is a text of the catalogue with plain strings put in.
func (w writer) word(key string, pairs ...string) string {
	args := Args{}
	for i := 0; i+1 < len(pairs); i += 2 {
		args[pairs[i]] = Value{Kind: kindPart, S: pairs[i+1]}
	}
	return w.sentence(Say(key, args))
}

// missing makes a gap in the catalogue visible, with the values, so that
// nothing that had to be said is lost. Tests look for its brackets.
func (w writer) missing(l Line) string {
	parts := []string{l.Key}
	for _, v := range l.Values {
		parts = append(parts, v.Name+"="+w.value(v.Value))
	}
	return "⟦" + strings.Join(parts, " ") + "⟧"
}
