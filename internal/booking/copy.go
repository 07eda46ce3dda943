package booking

import (
	"bytes"
	"encoding/json"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// againJSON is a trip as it is booked again.
type againJSON struct {
	planJSON
	Ready   any        `json:"cylinders_ready_at,omitempty"` // of another day
	Departs string     `json:"departs_at"`
	Leaders []againOne `json:"leaders"`
	Crew    []againOne `json:"crew"`
	Divers  []againOne `json:"divers"`
}

type againOne struct {
	Person
	Cylinders []bookedGas `json:"cylinders"`
}

// Copy is the document of a trip that is booked again to depart at another time,
// as RFC 3339 has it. The leaders come along, since no trip is without one;
// everybody else and the requests do with people. What is on the cylinders does
// not: their divers say it at the dock.
func Copy(t *roster.Trip, departs string, people bool) []byte {
	out := againJSON{planJSON: planOf(t), Departs: departs, Leaders: []againOne{}, Crew: []againOne{},
		Divers: []againOne{}}
	for _, p := range t.People {
		as := RoleOf(p)
		if p.Erased || !p.Left.IsZero() || !people && as != RoleLeader {
			continue
		}
		one := againOne{PersonOf(p), []bookedGas{}}
		for _, c := range p.InUse() {
			if people && c.Asked >= gas.Air {
				one.Cylinders = append(one.Cylinders, bookedGas{Asked: c.Asked, Dive: c.Dive, Size: c.Size, Owner: c.Owner})
			}
		}
		switch as {
		case RoleLeader:
			out.Leaders = append(out.Leaders, one)
		case RoleCrew:
			out.Crew = append(out.Crew, one)
		default:
			out.Divers = append(out.Divers, one)
		}
	}
	b, err := json.Marshal(out)
	if err != nil {
		panic(err) // our own types
	}
	return b
}

// Parsed is a document of ours, parsed as the reader takes it.
func Parsed(b []byte) map[string]any {
	var f Faults
	v, err := Parse(bytes.NewReader(b), &f)
	doc, ok := v.(map[string]any)
	if err != nil || !ok {
		return map[string]any{}
	}
	return doc
}
