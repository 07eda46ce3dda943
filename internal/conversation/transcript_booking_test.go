package conversation

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// booking plays the lines that say what the shop booked.
func (s *stage) booking(word, rest string) bool {
	switch word {
	case "trip":
		s.bookTrip(rest)
	case "dive":
		s.trip.Dives = append(s.trip.Dives, s.dive(rest))
	case "analysers":
		for _, name := range strings.Fields(rest) {
			s.trip.Analysers = append(s.trip.Analysers, roster.Analyser{Name: name})
		}
	case "policy":
		s.policy(rest)
	case "leader", "diver", "crew":
		s.bookPerson(word, rest)
	case "also":
		s.bookOther(rest)
	default:
		return false
	}
	return true
}

var unitOfTrip = map[string]gas.Unit{"m": gas.Metres, "ft": gas.Feet}

var tripLine = regexp.MustCompile(`^(.+) departs (\d{4}-\d\d-\d\d \d\d:\d\d) (\S+) in (m|ft)$`)

func (s *stage) bookTrip(text string) {
	m := tripLine.FindStringSubmatch(text)
	if m == nil {
		s.fatalf("trip: want NAME departs DATE TIME ZONE in m|ft")
	}
	zone, err := time.LoadLocation(m[3])
	if err != nil {
		s.fatalf("%v", err)
	}
	s.zone = zone
	s.trip = roster.NewTrip("abcdefghij", "s1")
	*s.trip.Plan = roster.Plan{Name: m[1], Zone: m[3], Departs: s.when(m[2]).UTC(),
		Policy:  gas.DefaultPolicy(unitOfTrip[m[4]]),
		Evening: "0 18 * * *", Quiet: "22:00-06:00"}
	if m[4] == "ft" {
		s.trip.Units = gas.Feet
	}
	s.now = s.trip.Departs.Add(-48 * time.Hour)
}

var diveLine = regexp.MustCompile(
	`^(.+?) ([\d.]+ (?:m|ft))(?: bottom ([\d.]+ (?:m|ft)))?( bottomless)?(?: for (\d+) min)?(?: after (\d+) min)?( fresh)?$`)

func (s *stage) dive(text string) roster.Dive {
	m := diveLine.FindStringSubmatch(text)
	if m == nil {
		s.fatalf("dive: want SITE DEPTH [bottom DEPTH | bottomless] [for N min] [after N min] [fresh]")
	}
	d := roster.Dive{Site: m[1], Depth: s.depth(m[2]), Bottomless: m[4] != ""}
	if m[3] != "" {
		d.Bottom = s.depth(m[3])
	}
	d.Minutes, _ = strconv.ParseFloat(m[5], 64)
	d.Interval, _ = strconv.ParseFloat(m[6], 64)
	if m[7] != "" {
		d.Water = gas.Fresh
	}
	return d
}

func (s *stage) policy(text string) {
	for _, setting := range strings.Fields(text) {
		k, v, _ := strings.Cut(setting, "=")
		if _, err := strconv.ParseFloat(v, 64); err != nil {
			v = strconv.Quote(v)
		}
		if err := json.Unmarshal(fmt.Appendf(nil, "{%q:%s}", k, v), &s.trip.Policy); err != nil {
			s.fatalf("%v", err)
		}
	}
}

func (s *stage) number() int {
	trip := *s.trip
	trip.Next++
	s.trip = &trip
	return s.trip.Next
}

var personLine = regexp.MustCompile(
	`^(.+?)((?: card \S+| team \S+| limit [\d.]+ (?:m|ft)| units \S+| language \S+)*): (.+)$`)

func (s *stage) bookPerson(role, text string) {
	m := personLine.FindStringSubmatch(text)
	if m == nil {
		s.fatalf("want NAME [card C] [team T] [limit DEPTH] [units U]: CYLINDERS|none")
	}
	p := &roster.Person{ID: roster.PersonID(fmt.Sprintf("p%d", s.number())), Name: m[1], Leader: role == "leader",
		Crew:  role == "crew",
		Diver: role == "diver", Card: gas.CardUnseen}
	words := strings.Fields(m[2])
	for i := 0; i+1 < len(words); i += 2 {
		switch words[i] {
		case "card":
			p.Card = gas.Card(words[i+1])
		case "team":
			p.Team = words[i+1]
		case "units":
			p.Units = words[i+1]
		case "language":
			p.Language = words[i+1]
		case "limit":
			p.DepthLimit = s.depth(words[i+1] + " " + words[i+2])
			i++
		}
	}
	if m[3] != "none" {
		for _, c := range strings.Split(m[3], ", ") {
			p.Cylinders = append(p.Cylinders, s.bookCylinder(c))
		}
	}
	s.trip.People = append(slices.Clip(s.trip.People), p)
}

var cylinderLineForm = regexp.MustCompile(`^(?:(\S+)=)?([\d.]+)(?: dive (\d))?$`)

func (s *stage) bookCylinder(text string) *roster.Cylinder {
	m := cylinderLineForm.FindStringSubmatch(text)
	if m == nil {
		s.fatalf("cylinder %q: want [LABEL=]BLEND [dive N]", text)
	}
	c := &roster.Cylinder{ID: roster.CylinderID(fmt.Sprintf("c%d", s.number())), Label: m[1], Dive: 1}
	asked, _ := strconv.ParseFloat(m[2], 64)
	c.Asked = gas.Percent(asked)
	if m[3] != "" {
		c.Dive, _ = strconv.Atoi(m[3])
	}
	return c
}

var otherLine = regexp.MustCompile(`^(.+?): (.+) (\d{4}-\d\d-\d\d \d\d:\d\d)$`)

func (s *stage) bookOther(text string) {
	m := otherLine.FindStringSubmatch(text)
	if m == nil {
		s.fatalf("also: want PERSON: TRIP DATE TIME")
	}
	p := s.begins(m[1])
	if p == nil {
		s.fatalf("who is %q?", m[1])
	}
	s.others[p.ID] = append(s.others[p.ID], OtherTrip{ID: roster.TripID(fmt.Sprintf("other%05d", len(s.others[p.ID])+1)),
		Name: m[2], Departs: s.when(m[3]), Zone: s.trip.Zone})
}

// shop is what the shop asks.
func (s *stage) shop(text string) *Change {
	var dive int
	var label, analyser, rest string
	var percent float64
	if first, ready := strings.CutSuffix(text, ", cylinders are ready"); ready {
		c := s.shop(first)
		c.Ready = true
		return c
	}
	switch {
	case text == "says: cylinders are ready":
		return &Change{Ready: true}
	case text == "locks the fill list":
		return &Change{Lock: true}
	case text == "announces":
		return &Change{Announce: true}
	case scan(text, "fills %s", &label):
		return &Change{Filled: []roster.CylinderID{s.labelled(label)}, FilledAt: s.now}
	case scan(text, "reads %s %f on %s", &label, &percent, &analyser):
		return &Change{Reading: &ShopReading{Cylinder: s.labelled(label), Percent: gas.Percent(percent), Analyser: analyser,
			At: s.now}}
	case strings.HasPrefix(text, "moves departure to "):
		at := s.when(strings.TrimPrefix(text, "moves departure to ")).UTC()
		return &Change{Departs: &at}
	case scan(text, "sets dive %d depth %s", &dive, &rest):
		dives := append([]roster.Dive(nil), s.trip.Dives...)
		dives[dive-1].Depth = s.depth(text[strings.Index(text, rest):])
		return &Change{Dives: dives}
	}
	if c := s.moreOfTheShop(text); c != nil {
		return c
	}
	s.fatalf("the shop does not %q", text)
	return nil
}

func scan(text, format string, into ...any) bool {
	n, _ := fmt.Sscanf(text, format, into...)
	return n == len(into)
}

func (s *stage) labelled(label string) roster.CylinderID {
	cs := s.trip.Labelled(label)
	if len(cs) == 0 {
		s.fatalf("no cylinder %q", label)
	}
	return cs[0].ID
}
