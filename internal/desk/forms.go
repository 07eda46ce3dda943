package desk

import (
	"crypto/rand"
	"encoding/json"
	"net/url"
	"strconv"
	"strings"

	"gasmuster/internal/booking"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
)

// form is what was typed, on its way to the document that the API takes too. It
// remembers which input each value came from, so that a fault finds its field.
type form struct {
	typed  url.Values
	fields map[string]string // by JSON pointer
}

func (v *visit) form() form {
	_ = v.ParseForm() // what can't be parsed is not there
	return form{typed: v.PostForm, fields: map[string]string{}}
}

func (f form) text(name string) string { return strings.TrimSpace(f.typed.Get(name)) }

// A kind is how a field's text becomes a value of the document.
type kind func(string) any

func asText(s string) any   { return s }
func asNumber(s string) any { return booking.Number(s) }
func asBlend(s string) any  { return booking.Blended(s) }

// asBottom is a number or the word none.
func asBottom(s string) any {
	if strings.EqualFold(s, "none") {
		return "none"
	}
	return booking.Number(s)
}

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
	if doc[name] = nil; f.text(input) != "" {
		doc[name] = as(f.text(input))
	}
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

// place gives each fault of a page its field.
func (f form) place(p *page) {
	for i := range p.Faults {
		p.Faults[i].Field = f.field(p.Faults[i].Where)
	}
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
			f.put(doc, at, n, row+n, asNumber)
		}
		f.put(doc, at, "bottom", row+"bottom", asBottom)
		f.put(doc, at, "water", row+"water", asText)
		list = append(list, doc)
	}
	return list
}

// departs reads date and time as a clock on the trip shows them. A fault is
// added where they can't be read.
func (f form) departs(doc map[string]any, bad *booking.Faults) {
	f.fields["/departs_at"], f.fields["/time_zone"] = "date", "time_zone"
	zone, err := readZone(f.text("time_zone"))
	if err != nil || f.text("date")+f.text("time") == "" {
		return // the reader says what is missing
	}
	at, err := booking.MomentIn(f.text("date")+" "+f.text("time"), zone)
	if err != nil {
		bad.Add("/departs_at", "%s", err)
	}
	doc["departs_at"] = at
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
	return fieldView{Name: name, Label: p.line(message.Say("desk.gas", message.Args{"dive": message.Count(n + 1)})), Value: p.values[name],
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
