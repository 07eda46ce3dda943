package standin

import (
	"fmt"
	"html"
	"regexp"
	"strings"
	"unicode/utf8"
)

// Entity is a marked-up stretch of a text, in UTF-16 units.
type Entity struct {
	Type   string
	Offset int
	Length int
}

// tags that the HTML mode knows, with the attributes each may carry.
var tags = map[string][]string{
	"b": nil, "strong": nil, "i": nil, "em": nil, "u": nil, "ins": nil, "s": nil, "strike": nil, "del": nil,
	"code": {"class"}, "pre": nil, "a": {"href"}, "span": {"class"}, "tg-spoiler": nil,
	"tg-emoji": {"emoji-id"}, "blockquote": {"expandable"},
}

var entityTypes = map[string]string{
	"b": "bold", "strong": "bold", "i": "italic", "em": "italic", "u": "underline", "ins": "underline",
	"s": "strikethrough", "strike": "strikethrough", "del": "strikethrough", "a": "text_link",
	"span": "spoiler", "tg-spoiler": "spoiler", "tg-emoji": "custom_emoji",
}

var (
	openTag   = regexp.MustCompile(`^<([a-z][a-z0-9-]*)((?:\s+[a-z-]+(?:="[^"<>]*")?)*)\s*>`)
	closeTag  = regexp.MustCompile(`^</([a-z][a-z0-9-]*)>`)
	attribute = regexp.MustCompile(`([a-z-]+)(?:=|\s|$)`)
	reference = regexp.MustCompile(`^&(?:lt|gt|amp|quot|#[0-9]{1,7}|#x[0-9a-fA-F]{1,6});`)
)

// units counts UTF-16 code units.
func units(s string) int {
	n := 0
	for _, r := range s {
		n++
		if r > 0xFFFF {
			n++
		}
	}
	return n
}

// parser takes an HTML text apart.
type parser struct {
	in       string
	at       int
	text     strings.Builder
	length   int // of text, in UTF-16 units
	open     []Entity
	names    []string
	entities []Entity
}

// ParseHTML returns the text that a person sees. It refuses whatever the API
// documents as wrong: unknown tags and attributes, tags that don't balance,
// entities it doesn't know, and bare <, > and &.
func ParseHTML(s string) (string, []Entity, error) {
	p := &parser{in: s}
	for p.at < len(s) {
		if err := p.step(); err != nil {
			return "", nil, err
		}
	}
	if len(p.names) > 0 {
		return "", nil, fmt.Errorf("can't find end tag corresponding to start tag %q", p.names[len(p.names)-1])
	}
	return p.text.String(), p.entities, nil
}

func (p *parser) step() error {
	rest := p.in[p.at:]
	switch rest[0] {
	case '<':
		if m := closeTag.FindStringSubmatch(rest); m != nil {
			return p.closed(m[1], len(m[0]))
		}
		if m := openTag.FindStringSubmatch(rest); m != nil {
			return p.opened(m[1], m[2], len(m[0]))
		}
		return fmt.Errorf("bare or malformed '<' at byte offset %d", p.at)
	case '>':
		return fmt.Errorf("bare '>' at byte offset %d", p.at)
	case '&':
		m := reference.FindString(rest)
		if m == "" {
			return fmt.Errorf("bare '&' or unknown entity at byte offset %d", p.at)
		}
		p.write(html.UnescapeString(m), len(m))
	default:
		_, size := utf8.DecodeRuneInString(rest)
		p.write(rest[:size], size)
	}
	return nil
}

func (p *parser) write(text string, size int) {
	p.text.WriteString(text)
	p.length += units(text)
	p.at += size
}

func (p *parser) opened(name, attributes string, size int) error {
	allowed, ok := tags[name]
	if !ok {
		return fmt.Errorf("unsupported start tag %q at byte offset %d", name, p.at)
	}
	for _, m := range attribute.FindAllStringSubmatch(stripValues(attributes), -1) {
		if !contains(allowed, m[1]) {
			return fmt.Errorf("unsupported attribute %q of tag %q at byte offset %d", m[1], name, p.at)
		}
	}
	for _, outer := range p.names {
		if outer == "code" || (outer == "pre" && name != "code") {
			return fmt.Errorf("tag %q inside %q at byte offset %d", name, outer, p.at)
		}
	}
	kind := entityTypes[name]
	if kind == "" {
		kind = name
	}
	p.names = append(p.names, name)
	p.open = append(p.open, Entity{Type: kind, Offset: p.length})
	p.at += size
	return nil
}

func (p *parser) closed(name string, size int) error {
	last := len(p.names) - 1
	if last < 0 {
		return fmt.Errorf("unexpected end tag %q at byte offset %d", name, p.at)
	}
	if p.names[last] != name {
		return fmt.Errorf("unmatched end tag at byte offset %d, expected %q, found %q", p.at, p.names[last], name)
	}
	e := p.open[last]
	e.Length = p.length - e.Offset
	p.names, p.open = p.names[:last], p.open[:last]
	if e.Length > 0 {
		p.entities = append(p.entities, e)
	}
	p.at += size
	return nil
}

var quoted = regexp.MustCompile(`"[^"]*"`)

func stripValues(s string) string { return quoted.ReplaceAllString(s, "") }

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
