package booking

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// maxNesting bounds how deep a document may be nested; a trip needs six levels.
const maxNesting = 16

// Parse reads exactly one JSON value: objects as map[string]any, numbers as
// json.Number. A name that comes twice in one object is a fault, since readers
// of JSON disagree about which of the two counts.
func Parse(r io.Reader, f *Faults) (any, error) {
	d := json.NewDecoder(r)
	d.UseNumber()
	v, err := parseValue(d, "", 0, f)
	if err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		if err == nil {
			err = errors.New("something follows the JSON value")
		}
		return nil, err
	}
	return v, nil
}

func parseValue(d *json.Decoder, at string, depth int, f *Faults) (any, error) {
	if depth > maxNesting {
		return nil, fmt.Errorf("nested deeper than %d levels", maxNesting)
	}
	t, err := d.Token()
	if errors.Is(err, io.EOF) {
		return nil, io.ErrUnexpectedEOF
	}
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		return parseObject(d, at, depth, f)
	case json.Delim('['):
		return parseArray(d, at, depth, f)
	}
	return t, nil
}

func parseObject(d *json.Decoder, at string, depth int, f *Faults) (any, error) {
	m := map[string]any{}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return nil, err
		}
		name, _ := t.(string)
		if _, twice := m[name]; twice {
			f.Add(join(at, name), "is given twice")
		}
		if m[name], err = parseValue(d, join(at, name), depth+1, f); err != nil {
			return nil, err
		}
	}
	_, err := d.Token()
	return m, err
}

func parseArray(d *json.Decoder, at string, depth int, f *Faults) (any, error) {
	a := []any{}
	for d.More() {
		v, err := parseValue(d, join(at, strconv.Itoa(len(a))), depth+1, f)
		if err != nil {
			return nil, err
		}
		a = append(a, v)
	}
	_, err := d.Token()
	return a, err
}

// join appends one step to a JSON pointer.
func join(at, step string) string {
	return at + "/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(step)
}

// Object reads one JSON object field by field; what was not read when close is
// called is an unknown field.
type Object struct {
	at     string
	Fields map[string]any
	Known  []string
	faults *Faults
}

// ObjectAt makes an object of a parsed value.
func ObjectAt(at string, v any, f *Faults) *Object {
	m, ok := v.(map[string]any)
	if !ok {
		f.Add(at, "must be an object, not %s", kindOf(v))
		m = map[string]any{}
	}
	return &Object{at: at, Fields: m, faults: f}
}

// Fault notes a fault of a field.
func (o *Object) Fault(name, format string, args ...any) {
	o.faults.Add(join(o.at, name), format, args...)
}

// Wrong notes what somebody got wrong in a field.
func (o *Object) Wrong(name string, line message.Line) { o.faults.Wrong(join(o.at, name), line) }

// get is a field that is given; null counts as not given.
func (o *Object) get(name string) (any, bool) {
	o.Known = append(o.Known, name)
	v := o.Fields[name]
	return v, v != nil
}

// Text is a string, cleaned of what could break a line or turn its direction;
// "" when not given. How long it may be is the trip's business.
func (o *Object) Text(name string) string {
	v, ok := o.get(name)
	if !ok {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		o.Fault(name, "must be a string, not %s", kindOf(v))
		return ""
	}
	if s = roster.CleanName(s); s == "" {
		o.Wrong(name, message.Say("fault.missing", nil))
	}
	return s
}

// NeedText is a string that must be given.
func (o *Object) NeedText(name string) string {
	if _, ok := o.get(name); !ok {
		o.Wrong(name, message.Say("fault.missing", nil))
		return ""
	}
	return o.Text(name)
}

// number is a number; ok is false when it is not given or wrong.
func (o *Object) number(name string) (float64, bool) {
	v, ok := o.get(name)
	if !ok {
		return 0, false
	}
	n, isNumber := v.(json.Number)
	if !isNumber {
		o.Fault(name, "must be a number, not %s", kindOf(v))
		return 0, false
	}
	x, err := n.Float64()
	if err != nil {
		o.Fault(name, "is %s, which is too large a number", n)
		return 0, false
	}
	return x, true
}

// NeedNumber is a number that must be given.
func (o *Object) NeedNumber(name string) float64 {
	if _, ok := o.get(name); !ok {
		o.Wrong(name, message.Say("fault.missing.number", nil))
		return 0
	}
	x, _ := o.number(name)
	return x
}

// whole is a whole number.
func (o *Object) whole(name string) (int, bool) {
	x, ok := o.number(name)
	if ok && (x != math.Trunc(x) || math.Abs(x) > 1e6) {
		o.Wrong(name, message.Say("fault.whole", message.Args{"value": message.Typed(Plain(x))}))
		return 0, false
	}
	return int(x), ok
}

// Yes is true or false; false when not given.
func (o *Object) Yes(name string) bool {
	v, ok := o.get(name)
	yes, isBool := v.(bool)
	if ok && !isBool {
		o.Fault(name, "must be true or false, not %s", kindOf(v))
	}
	return yes
}

// choice is one of the words; the first is the default.
func (o *Object) choice(name string, words ...string) string {
	v, ok := o.get(name)
	if !ok {
		return words[0]
	}
	s, _ := v.(string)
	if !slices.Contains(words, s) {
		o.Wrong(name, message.Say("fault.words", message.Args{"value": message.Text(Quoted(v)),
			"most": message.Text(strings.Join(words, ", "))}))
		return words[0]
	}
	return s
}

// Moment is an instant in RFC 3339, with its offset.
func (o *Object) Moment(name string) (time.Time, bool) {
	v, ok := o.get(name)
	if !ok {
		return time.Time{}, false
	}
	s, _ := v.(string)
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		o.Fault(name, "is %s: accepted is a time with date and offset as in RFC 3339, such as 2027-05-15T08:30:00Z",
			Quoted(v))
		return time.Time{}, false
	}
	return t.UTC(), true
}

// list is an array; what it may hold is the trip's business, but not more than
// anybody could want.
func (o *Object) list(name string) []any {
	v, ok := o.get(name)
	if !ok {
		return nil
	}
	a, isArray := v.([]any)
	if !isArray {
		o.Fault(name, "must be an array, not %s", kindOf(v))
	}
	return a[:min(len(a), maxFaults)]
}

// Close reports the fields that nobody asked for.
func (o *Object) Close() {
	var unknown []string
	for name := range o.Fields {
		if !slices.Contains(o.Known, name) {
			unknown = append(unknown, name)
		}
	}
	slices.Sort(unknown)
	slices.Sort(o.Known)
	o.Known = slices.Compact(o.Known)
	for _, name := range unknown {
		o.Fault(name, "is not a known field: accepted are %s", strings.Join(o.Known, ", "))
	}
}

func kindOf(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case map[string]any:
		return "an object"
	case []any:
		return "an array"
	case json.Number:
		return "a number"
	case string:
		return "a string"
	}
	return "true or false"
}

// Quoted shows a wrong value, cut short.
func Quoted(v any) string {
	s, ok := v.(string)
	if !ok {
		if n, isNumber := v.(json.Number); isNumber {
			return n.String()
		}
		return kindOf(v)
	}
	if r := []rune(s); len(r) > 40 {
		s = string(r[:40]) + "…"
	}
	return strconv.Quote(s)
}

// Plain is a number as it is typed.
func Plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// KnownQuery refuses parameters that nobody reads.
func (f *Faults) KnownQuery(query url.Values, known ...string) {
	for _, name := range slices.Sorted(maps.Keys(query)) {
		if !slices.Contains(known, name) {
			f.Add("?"+name, "is not a known parameter: accepted are %s", strings.Join(known, ", "))
		}
	}
}
