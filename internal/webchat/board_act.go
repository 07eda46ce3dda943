package webchat

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a leader does on the board is said in the conversation, word for word
// what could be typed or pressed there: nothing is decided or understood twice.
// A form names a person or cylinder by id ("@p3"), so that it means that one
// whatever anybody is called; the conversation shows the name.

// act does what a form of the board says.
func (c *Pages) act(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		c.tooLong(w, r)
		return
	}
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, "")
		return
	}
	in := readPost(r)
	switch {
	case in.do == "":
		in.text, in.shown = command(t, r.PostForm)
	case in.of == "": // a button of the board, not of an answer
		in.shown = c.boardLabel(c.viewOf(r, t, p), t, p, in.do)
	}
	back := "/c/" + r.PathValue("token") + "/board?" + url.Values{"said": {in.id}}.Encode()
	if r.PostForm.Get("show") == "needs" {
		back += "&show=needs"
	}
	switch {
	case !p.Leader:
		c.answerBoard(w, r, http.StatusForbidden, t, p)
	case in.text == "" && in.do == "":
		http.Redirect(w, r, "/c/"+r.PathValue("token")+"/board?idle=1", http.StatusSeeOther) // #nosec G710 -- stays on this host
	case len([]rune(in.text)) > maxText:
		c.tooLong(w, r)
	case !c.within(w, r, t, p, "post", postsAMinute):
		c.tooMany(w, c.viewOf(r, t, p), "")
	default:
		own, err := c.say(r, t, p, in)
		if err != nil {
			c.Log.Error("web: board form not recorded", "trip", t.ID, "person", p.ID, "err", err)
			w.Header().Set("Retry-After", "5")
			c.answerBoard(w, r, http.StatusServiceUnavailable, t, p)
			return
		}
		c.await(r.Context(), t.ID, p.ID, own.At)
		http.Redirect(w, r, back+"#answer", http.StatusSeeOther) // #nosec G710 -- stays on this host
	}
}

// boardLabel is what stands on a button of the board.
func (c *Pages) boardLabel(v view, t *roster.Trip, p *roster.Person, do string) string {
	b := conversation.ViewBoard(t, p.ID, c.Now())
	for _, row := range b.Buttons {
		for _, one := range row {
			if one.Do == do {
				return together(c.Renderer.Line(one.Label, v.to))
			}
		}
	}
	for _, one := range b.People {
		if one.Nudge && do == "lnudge "+string(one.ID) {
			return v.say("page.board.nudge", message.Args{"name": one.Name})
		}
	}
	return v.T("page.pressed")
}

// command is what a form says, and how it reads in the conversation; "" when
// nothing was entered.
func command(t *roster.Trip, f url.Values) (text, shown string) {
	get := func(name string) string { return strings.Join(strings.Fields(f.Get(name)), " ") }
	person := t.Person(roster.PersonID(get("person")))
	if person == nil {
		if get("act") == "site" {
			text = siteCommand(get)
		}
		return text, text
	}
	words := []string{"/" + get("act"), "@" + string(person.ID)}
	switch get("act") {
	case "limit":
		words = append(words, limitWords(get)...)
	case "for":
		if _, c := t.Cylinder(roster.CylinderID(get("cylinder"))); c != nil {
			words = append(words, "@"+string(c.ID))
		}
		words = append(words, get("percent"))
		if a := get("analyser"); a != "" {
			words = append(words, "on", a)
		}
	case "out", "back":
		words = append(words, get("reason"))
	case "cardseen", "revoke":
	default:
		return "", ""
	}
	text = strings.TrimSpace(strings.Join(words, " "))
	return text, readable(t, text)
}

func limitWords(get func(string) string) []string {
	words := []string{"off"}
	if get("off") == "" {
		words = []string{withUnit(get("depth"), get("unit"))}
	}
	if why := get("reason"); why != "" {
		words = append(words, "because", why)
	}
	return words
}

// siteCommand changes what was entered of a dive, and nothing else.
func siteCommand(get func(string) string) string {
	words := []string{"/site", "dive", get("dive")}
	if name := get("name"); name != "" {
		words = append(words, name)
	}
	if d := get("depth"); d != "" {
		words = append(words, withUnit(d, get("unit")))
	}
	if d := get("bottom"); d != "" {
		words = append(words, "bottom", withUnit(d, get("unit")))
	}
	if m := get("minutes"); m != "" {
		words = append(words, m+" min")
	}
	if len(words) == 3 {
		return ""
	}
	if why := get("reason"); why != "" {
		words = append(words, "because", why)
	}
	return strings.Join(words, " ")
}

// withUnit adds the unit that stands beside the field to a bare number.
func withUnit(s, unit string) string {
	if _, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err == nil && (unit == "m" || unit == "ft") {
		return s + unit
	}
	return s
}

// readable is a command with names and labels in the place of ids.
func readable(t *roster.Trip, text string) string {
	words := strings.Fields(text)
	for i, w := range words {
		if i > 2 || !strings.HasPrefix(w, "@") {
			continue
		}
		if p := t.Person(roster.PersonID(w[1:])); p != nil {
			words[i] = p.Name
		} else if _, c := t.Cylinder(roster.CylinderID(w[1:])); c != nil {
			words[i] = c.Label
		}
	}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}
