package rdb

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/roster"
)

// A trip is one hash with a field of JSON for each of its parts, since most
// events change one person with one cylinder and little else.

// identity is what of a trip stays the same, and who is on it.
type identity struct {
	ID     roster.TripID     `json:"id"`
	Schema int               `json:"schema"` // of the stored form
	Shop   roster.ShopID     `json:"shop"`
	Order  []roster.PersonID `json:"order"` // of the people
}

func identityOf(t *roster.Trip) identity {
	i := identity{ID: t.ID, Schema: roster.SchemaVersion, Shop: t.Shop, Order: make([]roster.PersonID, len(t.People))}
	for n, p := range t.People {
		i.Order[n] = p.ID
	}
	return i
}

func (i identity) same(j identity) bool {
	return i.ID == j.ID && i.Shop == j.Shop && slices.Equal(i.Order, j.Order)
}

// part is one field of a trip's hash, and the pointer that its value is kept under.
type part struct {
	field string
	value any
}

// parts are those that every trip has, beside its identity.
func parts(t *roster.Trip) []part {
	return []part{{"plan", t.Plan}, {"course", t.Course}, {"queue", t.Queue}, {"gate", t.Gate}, {"rounds", t.Rounds}}
}

// person is one as they are stored: the cylinders have fields of their own, and so
// has how much they noted, which alone is another with each of their acts.
type person struct {
	*roster.Person
	Cylinders []roster.CylinderID `json:"cylinders,omitempty"`
	Noted     *struct{}           `json:"noted,omitempty"`
}

// same tells whether two values of a person are stored alike. A draft copies who
// noted anything, so that they are compared.
func (s person) same(o person) bool {
	a, b := *s.Person, *o.Person
	a.Cylinders, a.Noted = b.Cylinders, b.Noted
	return slices.Equal(s.Cylinders, o.Cylinders) && reflect.DeepEqual(&a, &b)
}

func personOf(p *roster.Person) person {
	s := person{Person: p}
	for _, c := range p.Cylinders {
		s.Cylinders = append(s.Cylinders, c.ID)
	}
	return s
}

// act is one as it is stored: its instant as milliseconds, in half the room.
type act struct {
	roster.Act
	At int64 `json:"t"`
}

func actOf(a roster.Act) act { return act{a, a.At.UnixMilli()} }

// act is the act that was stored.
func (a act) act() roster.Act {
	a.Act.At = time.UnixMilli(a.At).UTC()
	return a.Act
}

const sessionPrefix = "session:"

// personField is where one person is stored, notedField how much they noted,
// cylinderField one of their cylinders, sessionField their dialogue state.
func personField(id roster.PersonID) string     { return "person:" + string(id) }
func notedField(id roster.PersonID) string      { return "noted:" + string(id) }
func cylinderField(id roster.CylinderID) string { return "cylinder:" + string(id) }
func sessionField(id roster.PersonID) string    { return sessionPrefix + string(id) }

// decode makes a trip of its hash. Another form than ours is refused.
func decode(fields map[string]string) (*roster.Trip, error) {
	if len(fields) == 0 {
		return nil, roster.ErrNotFound
	}
	var i identity
	if err := read(fields, part{"data", &i}); err != nil {
		return nil, err
	}
	if i.Schema != roster.SchemaVersion {
		return nil, fmt.Errorf("stored form %d is not this program's, which is %d", i.Schema, roster.SchemaVersion)
	}
	t := roster.NewTrip(i.ID, i.Shop)
	all := append(parts(t), part{"next", &t.Next}, part{"v", &t.Version})
	for _, id := range i.Order {
		p := person{Person: new(roster.Person)}
		if err := read(fields, part{personField(id), &p}); err != nil {
			return nil, err
		}
		for _, id := range p.Cylinders {
			c := new(roster.Cylinder)
			p.Person.Cylinders = append(p.Person.Cylinders, c)
			all = append(all, part{cylinderField(id), c})
		}
		all = append(all, part{notedField(id), &p.Person.Noted})
		t.People = append(t.People, p.Person)
	}
	for _, p := range all {
		if err := read(fields, p); err != nil {
			return nil, err
		}
	}
	t.Stored.Token, _, _ = strings.Cut(fields["by"], " ")
	return t, nil
}

// read fills one part. A field that is missing can't be read: it is no empty one.
func read(fields map[string]string, p part) error {
	if err := json.Unmarshal([]byte(fields[p.field]), p.value); err != nil {
		return fmt.Errorf("stored field %s can't be read: %w", p.field, err)
	}
	return nil
}
