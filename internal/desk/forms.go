package desk

import (
	"crypto/rand"
	"encoding/json"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// form is what was typed, on its way to the document that the API takes too. It
// remembers which input each value came from, so that a fault finds its field.
type form struct {
	typed  url.Values
	fields map[string]string // by JSON pointer
	bad    *booking.Faults   // what could not be read of it
}

func (v *visit) form() form {
	_ = v.ParseForm() // what can't be parsed is not there
	return form{typed: v.PostForm, fields: map[string]string{}, bad: &booking.Faults{}}
}

func (f form) text(name string) string { return strings.TrimSpace(f.typed.Get(name)) }

// A kind is how a field's text becomes a value of the document.
type kind func(string) (any, error)

func asText(s string) (any, error) { return s, nil }

// asList is what commas separate.
func asList(s string) any {
	list := []any{}
	for one := range strings.SplitSeq(s, ",") {
		if one = strings.TrimSpace(one); one != "" {
			list = append(list, one)
		}
	}
	return list
}

// put sets a name of doc, which stands at a pointer; nothing typed is null.
func (f form) put(doc map[string]any, at, name, input string, as kind) {
	f.fields[at+"/"+name] = input
	if doc[name] = nil; f.text(input) == "" {
		return
	}
	value, err := as(f.text(input))
	if err != nil {
		f.bad.Typed(at+"/"+name, err)
		return
	}
	doc[name] = value
}

// empty tells whether nothing was typed into any of a row's fields.
func (f form) empty(row string, names ...string) bool {
	for _, n := range names {
		if f.text(row+n) != "" {
			return false
		}
	}
	return true
}

// field is the input that a pointer, or the nearest thing around it, came from.
func (f form) field(pointer string) string {
	for {
		if name, ok := f.fields[pointer]; ok {
			return name
		}
		i := strings.LastIndexByte(pointer, '/')
		if i < 0 {
			return ""
		}
		pointer = pointer[:i]
	}
}

// place gives each fault of a page its field, and the words for it.
func (f form) place(p *page) {
	for i := range p.Faults {
		one := &p.Faults[i]
		one.Field = f.field(one.pointer)
		if one.Field != "" {
			one.Whole = p.at(f.words(*p, one.Field), one.Text)
		}
	}
}

// at is a fault with its place.
func (p page) at(where, text string) string {
	if where == "" {
		return text
	}
	return p.line(message.Say("fault.at", message.Args{"where": message.Text(where), "fault": message.Text(text)}))
}

// words are what a reader calls a field: whose row it is in, and its label.
func (f form) words(p page, field string) string {
	row, name, inRow := strings.Cut(field, ".")
	if !inRow {
		row, name = "", field
	}
	label := p.fieldLabel(name)
	n, err := strconv.Atoi(strings.TrimLeft(row, "dpc"))
	if err != nil {
		return label
	}
	who := ""
	switch row[0] {
	case 'd':
		who = p.line(message.Say("desk.dive.n", message.Args{"dive": message.Count(n + 1)}))
	case 'c':
		who = p.line(message.Say("desk.cylinder.n", message.Args{"n": message.Count(n + 1)}))
	default:
		if who = f.text(row + ".name"); who == "" {
			who = p.line(message.Say("desk.person.n", message.Args{"n": message.Count(n + 1)}))
		}
	}
	return who + " · " + label
}

// fieldLabel is the label of a field by its name in a form.
func (p page) fieldLabel(name string) string {
	if n, err := strconv.Atoi(strings.TrimPrefix(name, "gas")); err == nil {
		return p.line(message.Say("desk.gas", message.Args{"dive": message.Count(n)}))
	}
	if key := message.FieldKey(name); key != "" {
		return p.T(key)
	}
	return name
}

// rows are the numbers of the rows that a form may have.
func rowOf(prefix string, i int) string { return prefix + strconv.Itoa(i) + "." }

// dives reads the rows of dives that have something in them.
func (f form) dives(most int) []any {
	list := []any{}
	for i := range most {
		row := rowOf("d", i)
		if f.empty(row, "site", "depth", "minutes", "bottom") {
			continue
		}
		at, doc := "/dives/"+strconv.Itoa(len(list)), map[string]any{}
		f.fields[at] = row + "site"
		f.put(doc, at, "site", row+"site", asText)
		for _, n := range []string{"depth", "minutes", "interval", "altitude"} {
			f.put(doc, at, n, row+n, booking.Number)
		}
		f.put(doc, at, "bottom", row+"bottom", booking.DepthOrNone)
		f.put(doc, at, "water", row+"water", asText)
		list = append(list, doc)
	}
	return list
}

// departs reads date and time as a clock on the trip shows them. A fault is
// added where they can't be read.
func (f form) departs(doc map[string]any) {
	f.fields["/departs_at"], f.fields["/time_zone"] = "date", "time_zone"
	f.moment(doc, "departs_at", strings.TrimSpace(f.text("date")+" "+f.text("time")))
}

// moment reads a day and a time in the trip's zone.
func (f form) moment(doc map[string]any, name, text string) {
	doc[name] = nil
	zone, err := roster.Zone(f.text("time_zone"))
	switch {
	case text == "":
		return // the reader says what is missing
	case err != nil:
		zone = time.UTC // which is fault enough
	}
	at, err := booking.MomentIn(text, zone)
	if err != nil {
		f.bad.Typed("/"+name, err)
		return
	}
	doc[name] = at
}

// formPage is a page with a form that keeps what was typed.
type formPage struct {
	page
	Once   string // sent twice, it is one change
	values map[string]string
	lists  map[string][]string
}

func newForm(p page) formPage {
	return formPage{page: p, Once: rand.Text(), values: map[string]string{}, lists: map[string][]string{}}
}

// keep takes over what was typed.
func (p *formPage) keep(f form) {
	for name := range f.typed {
		p.values[name] = f.typed.Get(name)
	}
	if f.typed.Has("boat_check") { // a box that is not ticked is not sent
		p.values["oxygen_credit"] = f.text("oxygen_credit")
	}
}

// V is what stands in a field.
func (p formPage) V(name string) string { return p.values[name] }

// fieldView is one field of a form.
type fieldView struct {
	Name, Label, Value, Fault, Kind, List string
	Options                               []optionView
}

type optionView struct {
	Value, Label string
	Now          bool
}

// F is a field to type in. The kind "number" brings the keys for one up.
func (p formPage) F(name, label, kind string) fieldView {
	return fieldView{Name: name, Label: p.T(label), Value: p.values[name], Fault: p.Fault(name), Kind: kind}
}

// L is a field with suggestions.
func (p formPage) L(name, label, list string) fieldView {
	f := p.F(name, label, "text")
	f.List = list
	return f
}

// C is a choice among words, whose labels stand under a prefix of the catalogue.
func (p formPage) C(name, label, prefix, words string) fieldView {
	f := p.F(name, label, "choice")
	for w := range strings.FieldsSeq(words) {
		f.Options = append(f.Options, optionView{w, p.T(prefix + w), w == f.Value})
	}
	return f
}

// N is a choice among numbers and the like, which need no words.
func (p formPage) N(name, label, words string) fieldView {
	f := p.F(name, label, "choice")
	for w := range strings.FieldsSeq(words) {
		f.Options = append(f.Options, optionView{w, w, w == f.Value})
	}
	return f
}

// Rows are the numbers of rows of a form, from 0.
func (p formPage) Rows(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// At is the name of a field in a row.
func (p formPage) At(prefix string, i int, name string) string { return rowOf(prefix, i) + name }

// source is the event id of a form's change: a form that is sent twice is one
// change.
func (v *visit) source() string {
	once := v.PostFormValue("once")
	if once == "" {
		once = rand.Text()
	}
	return "desk:" + keys.Hash(string(v.shop.ID) + "\x00" + v.URL.Path + "\x00" + once)[:32]
}

// asJSON is a document as the reader takes it.
func asJSON(doc map[string]any) []byte {
	b, err := json.Marshal(doc)
	if err != nil {
		panic(err) // strings, numbers and what holds them
	}
	return b
}

// Lang10 is a choice among the languages that are spoken here; none is the
// reader's own.
func (p formPage) Lang10(name, label string) fieldView {
	f := p.F(name, label, "choice")
	f.Options = append(f.Options, optionView{"", "–", f.Value == ""})
	for _, l := range p.Languages() {
		f.Options = append(f.Options, optionView{l.Tag, l.Name, l.Tag == f.Value})
	}
	return f
}

// Opt is N with nothing as the first choice, OptC is C with it.
func (p formPage) Opt(name, label, words string) fieldView {
	return withNothing(p.N(name, label, words))
}

// OptC is described at Opt.
func (p formPage) OptC(name, label, prefix, words string) fieldView {
	return withNothing(p.C(name, label, prefix, words))
}

func withNothing(f fieldView) fieldView {
	f.Options = append([]optionView{{"", "–", f.Value == ""}}, f.Options...)
	return f
}

// G is the blend that person i asks for dive n (both from 0).
func (p formPage) G(i, n int) fieldView {
	name := rowOf("p", i) + "gas" + strconv.Itoa(n+1)
	return fieldView{Name: name, Label: p.line(message.Say("desk.gas", message.Args{"dive": message.Count(n + 1)})),
		Value: p.values[name],
		Fault: p.Fault(name), Kind: "number"}
}

// DiveName, PersonName and CylinderName head a row; i counts from 0.
func (p formPage) DiveName(i int) string {
	return p.line(message.Say("desk.dive.n", message.Args{"dive": message.Count(i + 1)}))
}

// PersonName is described at DiveName.
func (p formPage) PersonName(i int) string {
	return p.line(message.Say("desk.person.n", message.Args{"n": message.Count(i + 1)}))
}

// CylinderName is described at DiveName.
func (p formPage) CylinderName(i int) string {
	return p.line(message.Say("desk.cylinder.n", message.Args{"n": message.Count(i + 1)}))
}

// PolicyNumbers are the fields of a policy that are numbers.
func (p formPage) PolicyNumbers() []string { return policyNumbers }

// PolicyFault tells whether something is wrong with a field of the policy, which is
// folded away otherwise.
func (p formPage) PolicyFault() bool {
	return slices.ContainsFunc(append([]string{"boat_check"}, policyNumbers...),
		func(name string) bool { return p.Fault(name) != "" })
}
