package conversation

import (
	"cmp"
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

var (
	holdsState     = regexp.MustCompile(`^(.+) dive (\d): (\S+)$`)
	holdsSignature = regexp.MustCompile(`^dive (\d) signature (\S+)$`)
	holdsHears     = regexp.MustCompile(`^(.+?) hears (no )?"(.+)"$`)
)

// holds checks what a transcript says has to be so.
func (s *stage) holds(text string) {
	if m := holdsState.FindStringSubmatch(text); m != nil {
		dive, _ := strconv.Atoi(m[2])
		c := s.trip.Clearance(s.begins(m[1]).ID, dive, s.now.UTC())
		if got := c.State(); got != m[3] {
			s.fatalf("%s is %q on dive %d, has to be %q", m[1], got, dive, m[3])
		}
		return
	}
	if m := holdsSignature.FindStringSubmatch(text); m != nil {
		dive, _ := strconv.Atoi(m[1])
		got := "none"
		if sign := s.trip.Signature(dive); sign != nil {
			got = string(s.trip.Standing(sign, s.now.UTC()).State)
		}
		if got != m[2] {
			s.fatalf("the signature of dive %d is %q, has to be %q", dive, got, m[2])
		}
		return
	}
	m := holdsHears.FindStringSubmatch(text)
	if m == nil {
		s.fatalf("what has to hold in %q?", text)
	}
	if heard := s.heard(s.begins(m[1]).ID, m[3]); heard != (m[2] == "") {
		s.fatalf("%s heard %q: %v", m[1], m[3], heard)
	}
}

// heard tells whether a message to somebody held these words, in the unit that they read.
func (s *stage) heard(p roster.PersonID, words string) bool {
	for _, m := range s.sent[p] {
		reader := message.Reader{Units: cmp.Or(s.trip.Person(p).Units, s.trip.Units.String()), Zone: s.trip.Zone}
		if strings.Contains(s.renderer.Text(linked(m), reader, message.Plain), words) {
			return true
		}
	}
	return false
}
