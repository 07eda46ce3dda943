package message

import (
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// writer writes lines for one reader.
type writer struct {
	to      Reader
	texts   *i18n.Localizer
	numbers *message.Printer
}

func (r *Renderer) writer(to Reader) writer {
	tag, err := language.Parse(to.Language)
	if err != nil {
		tag = language.English
	}
	_, i, _ := r.matcher.Match(tag)
	// Numbers follow the language of the text around them.
	tag = r.bundle.LanguageTags()[i]
	return writer{to: to, texts: i18n.NewLocalizer(r.bundle, tag.String()), numbers: message.NewPrinter(tag)}
}

// line is one line of plain text.
func (w writer) line(l Line) string {
	if l.Key == "" {
		return ""
	}
	values := make(map[string]any, len(l.Args))
	for name, v := range l.Args {
		values[name] = w.value(v)
	}
	c := &i18n.LocalizeConfig{MessageID: l.Key, TemplateData: values}
	if n, ok := l.Args["count"]; ok {
		c.PluralCount = int(n.N)
	}
	text, err := w.texts.Localize(c)
	if err != nil && text == "" {
		return w.missing(l)
	}
	return text
}

// word is a text of the catalogue with plain strings put in.
func (w writer) word(key string, pairs ...string) string {
	args := Args{}
	for i := 0; i+1 < len(pairs); i += 2 {
		args[pairs[i]] = Code(pairs[i+1])
	}
	return w.line(Line{Key: key, Args: args})
}

// missing makes a gap in the catalogue visible, with the values, so that
// nothing that had to be said is lost. Tests look for its brackets.
func (w writer) missing(l Line) string {
	parts := []string{l.Key}
	for _, name := range sortedNames(l.Args) {
		parts = append(parts, name+"="+w.value(l.Args[name]))
	}
	return "⟦" + strings.Join(parts, " ") + "⟧"
}
