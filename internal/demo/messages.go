package demo

import (
	"bufio"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"os"
	"strings"
	"time"

	"gasmuster/internal/message"
)

// The page with every message in every language, for native speakers to read:
// first whole messages, as the played day sends them, per unit and channel;
// then every sentence of the catalogues with invented values.

//go:embed assets/messages.html
var messagesHTML string

// runMessages is "bot demo --messages": it writes the page to a file, or to
// stdout for "-".
func runMessages(ctx context.Context, path string, stdout, stderr io.Writer) int {
	if path == "-" {
		if err := writeMessages(ctx, stdout); err != nil {
			fmt.Fprintf(stderr, "bot demo: %v\n", err)
			return exitError
		}
		return exitOK
	}
	f, err := os.Create(path) // #nosec G304 -- named on the command line by who runs it
	if err != nil {
		fmt.Fprintf(stderr, "bot demo: the page can't be written: %v. Give another file with --to FILE, or --to - for "+
			"the terminal\n", err)
		return exitError
	}
	err = writeMessages(ctx, f)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot demo: %v\n", err)
		return exitError
	}
	fmt.Fprintf(stdout, "Every message in every language is in %s. Open it in a browser.\n", path)
	return exitOK
}

func writeMessages(ctx context.Context, w io.Writer) error {
	said, err := daysMessages(ctx)
	if err != nil {
		return err
	}
	page, err := template.New("messages").Parse(messagesHTML)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	if err := page.Execute(out, messagesView(said)); err != nil {
		return err
	}
	return out.Flush()
}

// daysMessages are the messages of the played day, each kind once.
func daysMessages(ctx context.Context) ([]message.Message, error) {
	var all []message.Message
	seen := map[string]bool{}
	_, err := play(ctx, func(p *player) {
		script(p)
		for _, g := range p.s.people {
			entries, err := p.s.chats.Read(ctx, p.s.trip, g.ID, "")
			if err != nil {
				p.fail("%v", err)
			}
			for _, e := range entries {
				var m message.Message
				if e.Own || json.Unmarshal(e.Payload, &m) != nil || seen[shape(m)] {
					continue
				}
				seen[shape(m)] = true
				all = append(all, p.linked(g.Name, m))
			}
		}
	}, io.Discard, func(time.Duration) {})
	return all, err
}

// shape is what tells kinds of messages apart: their sentences, without the
// values.
func shape(m message.Message) string {
	var keys []string
	for _, l := range m.Lines {
		if k := string(l.Style) + l.Key; len(keys) == 0 || keys[len(keys)-1] != k {
			keys = append(keys, k)
		}
	}
	return strings.Join(keys, " ")
}

type messagesPage struct {
	Languages []languageView
	Whole     []wholeView
	Areas     []areaView
}

type languageView struct {
	Tag, Name, Dir string
	Reviewed       bool
}

// wholeView is a message in every language, unit and channel.
type wholeView struct {
	Number int
	Forms  []formView
}

type formView struct {
	languageView
	Unit, Channel string
	Text          template.HTML // escaped by the renderer
	Buttons       []string
}

type areaView struct {
	Name      string
	Sentences []sentenceView
}

type sentenceView struct {
	Key   string
	Texts []textView
}

type textView struct {
	languageView
	Lines []string
}

func messagesView(said []message.Message) messagesPage {
	r := message.New()
	var v messagesPage
	for _, tag := range message.Languages() {
		v.Languages = append(v.Languages, languageView{tag,
			r.Line(message.Say("language.name", message.Args{"language": message.OwnName(tag)}), message.Reader{}),
			message.Direction(tag), message.Reviewed(tag)})
	}
	for i, m := range said {
		whole := wholeView{Number: i + 1}
		for _, l := range v.Languages {
			whole.Forms = append(whole.Forms, forms(r, m, l)...)
		}
		v.Whole = append(v.Whole, whole)
	}
	for _, s := range message.Sentences() {
		if n := len(v.Areas); n == 0 || v.Areas[n-1].Name != s.Area {
			v.Areas = append(v.Areas, areaView{Name: s.Area})
		}
		area := &v.Areas[len(v.Areas)-1]
		area.Sentences = append(area.Sentences, sentence(r, s, v.Languages))
	}
	return v
}

// forms are one message in one language: metres and feet, and where the two
// channels differ, each: marked up as in a chat, plain as on paper.
func forms(r *message.Renderer, m message.Message, l languageView) []formView {
	var out []formView
	for _, unit := range []string{"m", "ft"} {
		to := message.Reader{Language: l.Tag, Units: unit}
		var buttons []string
		for _, row := range m.Buttons {
			for _, b := range row {
				buttons = append(buttons, r.Line(b.Label, to))
			}
		}
		marked, plain := r.Text(m, to, message.HTML), template.HTMLEscapeString(r.Text(m, to, message.Plain))
		out = append(out, formView{l, unit, "chat", template.HTML(marked), buttons}, // #nosec G203 -- the renderer has escaped every value
			formView{l, unit, "plain", template.HTML(plain), buttons}) // #nosec G203 -- escaped above
	}
	return out
}

func sentence(r *message.Renderer, s message.Sentence, languages []languageView) sentenceView {
	v := sentenceView{Key: s.Key}
	for _, l := range languages {
		t := textView{languageView: l}
		for _, line := range s.Lines {
			for _, unit := range []string{"m", "ft"} {
				text := r.Line(line, message.Reader{Language: l.Tag, Units: unit})
				if n := len(t.Lines); n == 0 || t.Lines[n-1] != text {
					t.Lines = append(t.Lines, text)
				}
			}
		}
		v.Texts = append(v.Texts, t)
	}
	return v
}
