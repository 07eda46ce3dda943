package webchat

import (
	"cmp"
	"net/http"
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A muster sheet that was filled in with a pen, entered afterwards: a row for each
// cylinder of the dive. What is the same for all is entered once, at the top. It is
// said in the conversation as many lines of /for, each with the time at which it was
// read and who watched.

// paperView is the form.
type paperView struct {
	boardView
	Witnesses []witnessView // whom a leader may name; crew watched by themselves
}

type witnessView struct{ ID, Name string }

// Labelled tells whether a cylinder has a label.
func (c cylinderView) Labelled() bool { return c.Label != "" }

// showPaper is the form for what stands on paper.
func (c *Pages) showPaper(w http.ResponseWriter, r *http.Request) {
	t, p := c.onBoard(w, r)
	if p == nil {
		return
	}
	v := paperView{boardView: c.boardOf(r, t, p)}
	v.Kind, v.Title = "form", v.T("page.board.paper")
	if p.Leader {
		v.Witnesses = append(v.Witnesses, witnessView{string(p.ID), p.Name})
		for _, other := range t.People {
			if other.ID != p.ID && !other.Erased && other.Left.IsZero() {
				v.Witnesses = append(v.Witnesses, witnessView{string(other.ID), other.Name})
			}
		}
	}
	c.serve(w, http.StatusOK, "board-paper", v)
}

// paperCommand is the form as it is said, and how it reads; "" when no number was
// entered.
func paperCommand(t *roster.Trip, get func(string) string) (text, shown string) {
	lines := []string{"/for"}
	read := []string{"/for"}
	for _, p := range t.People {
		for _, c := range p.InUse() {
			line := paperLine(get, string(c.ID))
			if line == nil {
				continue
			}
			by := cmp.Or(get("by_"+string(c.ID)), get("by"))
			said := append([]string{"@" + string(p.ID), "@" + string(c.ID)}, line...)
			reads := append([]string{p.Name, c.Label}, line...)
			if who := t.Person(roster.PersonID(by)); who != nil {
				said, reads = append(said, "by", "@"+by), append(reads, "by", message.Clean(who.Name))
			}
			lines, read = append(lines, strings.Join(said, " ")),
				append(read, strings.Join(strings.Fields(strings.Join(reads, " ")), " "))
		}
	}
	if len(lines) == 1 {
		return "", ""
	}
	return strings.Join(lines, "\n"), strings.Join(read, "\n")
}

// paperLine is what was entered of one cylinder; nil for an empty row.
func paperLine(get func(string) string, id string) []string {
	var words []string
	if get("percent_"+id) == "" {
		return nil
	}
	if label := get("label_" + id); label != "" {
		words = append(words, strings.ReplaceAll(label, " ", "-"))
	}
	words = append(words, get("percent_"+id))
	if a := cmp.Or(get("analyser_"+id), get("analyser")); a != "" {
		words = append(words, "on", a)
	}
	if at := cmp.Or(get("at_"+id), get("at")); at != "" {
		words = append(words, at)
	}
	return words
}
