package webchat

import (
	"cmp"
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

// actWords are how acts of one tap read in the conversation.
var actWords = map[string]string{"kept": "page.board.do.kept", "cardseen": "page.board.do.cardseen",
	"revoke": "page.board.do.revoke"}

// act does what a form of the board says.
func (c *Pages) act(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		c.tooLong(w, r)
		return
	}
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.notOpen(w, r, err, "")
		return
	}
	in := readPost(r)
	switch {
	case in.do == "":
		in.text, in.shown = command(t, r.PostForm)
		if words := actWords[r.PostForm.Get("act")]; words != "" && in.text != "" {
			v := c.viewOf(r, t, p)
			name := t.Person(roster.PersonID(r.PostForm.Get("person"))).Name
			in.shown = v.say("page.board.did", message.Args{"name": message.Name(name),
				"what": message.Of(message.Say(words, nil))})
		}
	case in.of == "": // a button of the board, not of an answer
		in.shown = c.boardLabel(r, c.viewOf(r, t, p), t, p, in.do)
	}
	if scripted(r) {
		c.takeKept(w, r, t, p, in)
		return
	}
	back := "/c/" + r.PathValue("token") + "/board?" + url.Values{"said": {in.id}}.Encode()
	for _, kept := range []string{"show", "dive_shown"} {
		if x := r.PostForm.Get(kept); x != "" {
			back += "&" + url.Values{kept: {x}}.Encode()
		}
	}
	switch {
	case !staff(p):
		c.answerBoard(w, r, http.StatusForbidden, t, p)
	case in.text == "" && in.do == "":
		http.Redirect(w, r, "/c/"+r.PathValue("token")+"/board?idle=1", http.StatusSeeOther) // #nosec G710 -- stays on this host
	case len([]rune(in.text)) > maxText:
		c.tooLong(w, r)
	case !c.within(w, r, t, p, "post", postsAMinute):
		c.tooMany(w, c.viewOf(r, t, p))
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
func (c *Pages) boardLabel(r *http.Request, v view, t *roster.Trip, p *roster.Person, do string) string {
	b := conversation.ViewBoard(t, p.ID, diveOf(r, t, c.Now()), c.Now())
	rows := b.Buttons
	for _, one := range b.People {
		rows = append(rows, one.Buttons...)
	}
	if label := v.labelIn(rows, do); label != "" {
		return label
	}
	for _, one := range b.Waiting {
		if label := v.labelIn(one.Buttons, do); label != "" {
			return v.say("page.board.did", message.Args{"name": one.Name, "what": message.Code(label)})
		}
	}
	for _, one := range b.People {
		if one.Nudge && do == "lnudge "+string(one.ID) {
			return v.say("page.board.did", message.Args{"name": one.Name,
				"what": message.Of(message.Say("page.board.do.nudge", nil))})
		}
	}
	return v.T("page.pressed")
}

// labelIn is what stands on the button that does so, "" when there is none.
func (v view) labelIn(rows [][]message.Button, do string) string {
	for _, row := range rows {
		for _, one := range row {
			if one.Do == do {
				return v.c.Renderer.Shown(one.Label, v.to)
			}
		}
	}
	return ""
}

// command is what a form says, and how it reads in the conversation; "" when
// nothing was entered.
func command(t *roster.Trip, f url.Values) (text, shown string) {
	get := func(name string) string { return strings.Join(strings.Fields(f.Get(name)), " ") }
	person := t.Person(roster.PersonID(get("person")))
	if person == nil {
		switch get("act") {
		case "site":
			text = siteCommand(get)
		case "paper":
			return paperCommand(t, get)
		}
		return text, text
	}
	words := []string{"/" + get("act"), "@" + string(person.ID)}
	switch get("act") {
	case "limit":
		limit := limitWords(get)
		if limit == nil {
			return "", ""
		}
		words = append(append(words, scope(get)...), limit...)
	case "for":
		if _, c := t.Cylinder(roster.CylinderID(get("cylinder"))); c != nil {
			words = append(words, "@"+string(c.ID))
		}
		words = append(words, get("percent"))
		if a := get("analyser"); a != "" {
			words = append(words, "on", a)
		}
	case "out", "back", "outside", "inside":
		words = append(append(words, scope(get)...), cmp.Or(get("reason"), get("word")))
	case "cardseen", "revoke", "kept":
	default:
		return "", ""
	}
	text = strings.TrimSpace(strings.Join(words, " "))
	return text, readable(t, text)
}

// scope is what a form is about: the dive of the board that it stands on, or
// the whole trip.
func scope(get func(string) string) []string {
	if n := get("dive_shown"); n != "" && get("scope") != "trip" {
		return []string{"dive", n}
	}
	return []string{"trip"}
}

// limitWords are the depth, the minutes or both that a leader sets; nil when
// nothing was entered.
func limitWords(get func(string) string) []string {
	var words []string
	if get("off") != "" {
		words = []string{"off"}
	} else {
		if d := get("depth"); d != "" {
			words = append(words, withUnit(d, get("unit")))
		}
		if m := get("minutes"); m != "" {
			words = append(words, m+" min")
		}
	}
	if why := get("reason"); why != "" && words != nil {
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
