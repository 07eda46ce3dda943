package message

import (
	"embed"
	"html"
	"slices"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

//go:embed catalogue/*.toml
var catalogue embed.FS

// Reader is who reads: what language, in which unit of depth and, for times
// that carry no zone of their own, in which time zone.
type Reader struct {
	Language string // BCP 47; "" is English
	Units    string // "m", "ft" or "" for each depth as it is given
	Zone     string // IANA name; "" is UTC
}

// Format is a channel's markup.
type Format uint8

// Plain text, and the small subset of HTML that chat channels take: b, i and
// pre, with & < > and both quotes escaped everywhere.
const (
	Plain Format = iota
	HTML
)

// Renderer makes sentences of messages. It is safe for concurrent use.
type Renderer struct {
	offered []string
}

// tongue is what writing in one language takes.
type tongue struct {
	texts   *i18n.Localizer
	numbers *message.Printer
}

// New returns the renderer of the embedded catalogues. Writing panics when one
// can't be read: they are part of the program, and tests read them all.
func New() *Renderer { return read(completeLanguages) }

// tongues are the languages of the catalogues, offered or not. One is read when
// somebody first reads it: most boats speak two or three, and a process starts
// faster and stays smaller without the rest.
var tongues = func() map[string]func() tongue {
	all := map[string]func() tongue{}
	for _, f := range catalogueFiles() {
		tag := strings.Split(f, ".")[1]
		all[tag] = sync.OnceValue(func() tongue {
			return tongue{texts: i18n.NewLocalizer(catalogueOf(tag), tag), numbers: message.NewPrinter(numbers(tag))}
		})
	}
	return all
}()

// catalogueFiles are <area>.<language>.toml.
func catalogueFiles() []string {
	files, err := catalogue.ReadDir("catalogue")
	if err != nil {
		panic(err)
	}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name()
	}
	return names
}

// catalogueOf is a language's catalogue, with the English one for what it lacks.
func catalogueOf(tag string) *i18n.Bundle {
	files := englishTexts()
	if tag != "en" {
		files = slices.Concat(files, textsOf(tag))
	}
	bundle := i18n.NewBundle(language.English)
	for _, f := range files {
		bundle.MustAddMessages(f.Tag, f.Messages...)
	}
	return bundle
}

var englishTexts = sync.OnceValue(func() []*i18n.MessageFile { return textsOf("en") })

// textsOf reads the files of a language.
func textsOf(tag string) (files []*i18n.MessageFile) {
	bundle := i18n.NewBundle(language.English)
	bundle.RegisterUnmarshalFunc("toml", toml.Unmarshal)
	for _, name := range catalogueFiles() {
		if strings.Split(name, ".")[1] != tag {
			continue
		}
		f, err := bundle.LoadMessageFileFS(catalogue, "catalogue/"+name)
		if err != nil {
			panic(err)
		}
		files = append(files, f)
	}
	return files
}

// Prepare reads the catalogue that somebody of this language is written to in, so that
// nobody waits for that.
func Prepare(language string) { tongues[Match(language)]() }

// read is the renderer that writes the offered languages only.
func read(offered []string) *Renderer { return &Renderer{offered: offered} }

// Text is a whole message without its buttons.
func (r *Renderer) Text(m Message, to Reader, f Format) string {
	w := r.writer(to)
	var out []string
	for i := 0; i < len(m.Lines); i++ {
		if m.Lines[i].Style != Table {
			out = append(out, dress(w.line(m.Lines[i]), m.Lines[i].Style, f))
			continue
		}
		first := i
		for i+1 < len(m.Lines) && m.Lines[i+1].Style == Table {
			i++
		}
		out = append(out, dress(w.table(m.Lines[first:i+1]), Table, f))
	}
	return strings.Join(out, "\n")
}

// Line is one line as plain text: of a message, or a button's label.
func (r *Renderer) Line(l Line, to Reader) string { return r.writer(to).line(l) }

func (w writer) table(lines []Line) string {
	rows := make([]string, len(lines))
	for i, l := range lines {
		rows[i] = w.line(l)
	}
	return strings.Join(rows, "\n")
}

// dress puts the channel's markup around a text that is plain until here, so
// that nothing in it can be taken for markup.
func dress(text string, s Style, f Format) string {
	if f != HTML {
		return text
	}
	text = html.EscapeString(Unbroken(text))
	switch {
	case text == "":
		return text
	case s == Strong:
		return "<b>" + text + "</b>"
	case s == Table:
		return "<pre>" + text + "</pre>"
	case s == Quiet:
		return "<i>" + text + "</i>"
	}
	return text
}
