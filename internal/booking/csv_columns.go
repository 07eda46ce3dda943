package booking

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// column is one column of a trip as CSV: README.md and openapi.json have the
// same list, and a test holds them to it.
type column struct {
	Name string
	of   holder
	at   string // JSON pointer below what it is of
	kind cellKind
}

// holder is what a column says something about: the trip (on its first row),
// the person or the cylinder of the row.
type holder int

const (
	ofTrip holder = iota
	ofPerson
	ofCylinder
)

// cellKind is how a cell's text becomes a value of the JSON document.
type cellKind int

const (
	cellText   cellKind = iota
	cellWord            // one of several words, in any case
	cellNumber          // with a point or a comma
	cellBlend           // a number, with or without "%", or "air"
	cellBottom          // a number or "none"
	cellMoment          // RFC 3339, or without an offset in the trip's zone
	cellList            // separated by "|"
	cellYes             // yes or no
)

// roleColumn tells leaders from divers; the document keeps them in two lists.
const roleColumn = "role"

// Columns are all that a file may have, in the order of the template.
var Columns = csvColumns()

func csvColumns() []column {
	list := []column{
		{"trip", ofTrip, "/name", cellText}, {"time_zone", ofTrip, "/time_zone", cellText},
		{"departs_at", ofTrip, "/departs_at", cellMoment}, {"cylinders_ready_at", ofTrip, "/cylinders_ready_at", cellMoment},
		{"first_dive_after", ofTrip, "/first_dive_after", cellNumber}, {"units", ofTrip, "/units", cellWord},
		{"analysers", ofTrip, "/analysers", cellList},
	}
	for n := range roster.MaxDives {
		at, name := fmt.Sprintf("/dives/%d/", n), fmt.Sprintf("dive%d_", n+1)
		list = append(list, column{name + "site", ofTrip, at + "site", cellText},
			column{name + "depth", ofTrip, at + "depth", cellNumber},
			column{name + "bottom", ofTrip, at + "bottom", cellBottom},
			column{name + "minutes", ofTrip, at + "minutes", cellNumber},
			column{name + "water", ofTrip, at + "water", cellWord},
			column{name + "altitude", ofTrip, at + "altitude", cellNumber})
		if n > 0 {
			list = append(list, column{name + "interval", ofTrip, at + "interval", cellNumber})
		}
	}
	for _, name := range []string{"ppo2", "ppo2_max", "max_o2", "tolerance", "tell_shop", "gf", "fresh_for_hours",
		"max_co", "deepest"} {
		list = append(list, column{name, ofTrip, "/policy/" + name, cellNumber})
	}
	return append(list,
		column{"boat_check", ofTrip, "/policy/boat_check", cellWord},
		column{"oxygen_credit", ofTrip, "/policy/oxygen_credit", cellYes},
		column{"diver", ofPerson, "/name", cellText}, column{roleColumn, ofPerson, "", cellWord},
		column{"card", ofPerson, "/card", cellWord},
		column{"depth_limit", ofPerson, "/depth_limit", cellNumber}, column{"team", ofPerson, "/team", cellText},
		column{"outside", ofPerson, "/outside", cellText},
		column{"language", ofPerson, "/language", cellText}, column{"diver_units", ofPerson, "/units", cellWord},
		column{"asked", ofCylinder, "/asked", cellBlend}, column{"dive", ofCylinder, "/dive", cellNumber},
		column{"label", ofCylinder, "/label", cellText}, column{"size", ofCylinder, "/size", cellText},
		column{"owner", ofCylinder, "/owner", cellWord})
}

var (
	plainNumber = regexp.MustCompile(`^-?[0-9]+([.,][0-9]+)?$`)
	// Three digits after the only point or comma: a thousand to some, one to others.
	ambiguous = regexp.MustCompile(`^-?[1-9][0-9]{0,2}[.,][0-9]{3}$`)
	blendName = regexp.MustCompile(`(?i)^(?:eanx?\s*)?([0-9]+(?:[.,][0-9]+)?)\s*%?$`)
)

// number makes a JSON number of a cell, or says what is wrong with it.
func cellAsNumber(text string) (string, error) {
	switch {
	case ambiguous.MatchString(text):
		return "", isWrong("fault.thousand", message.Args{"value": message.Typed(text)})
	case len(text) > 20 || !plainNumber.MatchString(text):
		return "", isWrong("fault.number", message.Args{"value": message.Typed(text)})
	}
	return leadingZeros(strings.Replace(text, ",", ".", 1)), nil
}

// leadingZeros takes away what JSON does not allow in front of a number.
func leadingZeros(s string) string {
	sign, rest := "", s
	if strings.HasPrefix(s, "-") {
		sign, rest = "-", s[1:]
	}
	for len(rest) > 1 && rest[0] == '0' && rest[1] != '.' {
		rest = rest[1:]
	}
	return sign + rest
}

// cellAsBlend is a number of percent. A blend's name is fine here: it is what
// is ordered.
func cellAsBlend(text string) (string, error) {
	if strings.EqualFold(text, "air") {
		return "21", nil
	}
	if m := blendName.FindStringSubmatch(text); m != nil {
		return cellAsNumber(m[1])
	}
	return "", isWrong("fault.blend", message.Args{"value": message.Typed(text)})
}

// cellAsMoment is an instant in RFC 3339. A time without an offset is one in
// the trip's zone; one that clocks show twice or never needs its offset.
func cellAsMoment(text string, zone *time.Location) (string, error) {
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t.UTC().Format(time.RFC3339), nil
	}
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05"} {
		wall, err := time.Parse(layout, text)
		if err != nil {
			continue
		}
		if zone == nil {
			return "", isWrong("fault.moment.zone", message.Args{"value": message.Typed(text)})
		}
		found := instants(wall, zone)
		switch len(found) {
		case 1:
			return found[0].UTC().Format(time.RFC3339), nil
		case 0:
			return "", isWrong("fault.moment.skipped", message.Args{"value": message.Typed(text),
				"zone": message.Text(zone.String())})
		}
		return "", isWrong("fault.moment.twice", message.Args{"value": message.Typed(text),
			"zone":  message.Text(zone.String()),
			"least": message.Text(found[0].Format(time.RFC3339))})
	}
	return "", isWrong("fault.moment", message.Args{"value": message.Typed(text)})
}

// instants are all that a wall clock in zone shows as wall.
func instants(wall time.Time, zone *time.Location) []time.Time {
	var found []time.Time
	near := time.Date(wall.Year(), wall.Month(), wall.Day(), wall.Hour(), wall.Minute(), wall.Second(), 0, zone)
	seen := map[int64]bool{}
	for _, around := range []time.Duration{-26 * time.Hour, 26 * time.Hour} {
		_, offset := near.Add(around).Zone()
		t := wall.Add(-time.Duration(offset) * time.Second).In(zone)
		if t.Format(time.DateTime) == wall.Format(time.DateTime) && !seen[t.Unix()] {
			seen[t.Unix()] = true
			found = append(found, t)
		}
	}
	return found
}

// MomentIn reads a time as a file or a form has it: RFC 3339, or a wall clock's
// in zone. It is written as RFC 3339.
func MomentIn(text string, zone *time.Location) (string, error) { return cellAsMoment(text, zone) }

// Blended is a blend that somebody typed, as the number of a document.
func Blended(text string) (any, error) { return numeral(cellAsBlend(text)) }

// Number is a number that somebody typed, with a point or a comma.
func Number(text string) (any, error) { return numeral(cellAsNumber(text)) }

// DepthOrNone is a depth that somebody typed, or the word none.
func DepthOrNone(text string) (any, error) {
	if strings.EqualFold(text, "none") {
		return "none", nil
	}
	if n, err := cellAsNumber(text); err == nil {
		return json.Number(n), nil
	}
	return nil, wrong{message.Faulty(roster.Fault{Kind: roster.FaultBottom, Value: text})}
}

func numeral(n string, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	return json.Number(n), nil
}
