package roster

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"
)

// startTolerance is how far a planned start may move and still be the same.
const startTolerance = time.Hour

// Same tells whether two sets of facts are the same.
func (f *Facts) Same(now Facts) bool { return f.Differs(now) == nil }

// Differs is the first fact that differs, nil when none does.
func (f *Facts) Differs(now Facts) *Broken {
	for i, was := range f.Trip {
		if i >= len(now.Trip) {
			return &Broken{What: was.Name, Was: was.Value}
		}
		if is := now.Trip[i]; !was.same(is) {
			return &Broken{What: was.Name, Was: was.Value, Now: is.Value}
		}
	}
	if slices.Equal(f.values(), now.values()) {
		return nil
	}
	return f.differsIn(now)
}

// same tells whether two facts of a trip are the same: a start may move a little, a
// site be written in another way.
func (f Fact) same(is Fact) bool {
	switch f.Name {
	case FactStart:
		return is.Name == f.Name && sameStart(f.Value, is.Value)
	case FactSite:
		return is.Name == f.Name && labelKey(f.Value) == labelKey(is.Value)
	}
	return f == is
}

func sameStart(a, b string) bool {
	was, err := time.Parse(time.RFC3339, a)
	is, err2 := time.Parse(time.RFC3339, b)
	return err == nil && err2 == nil && was.Sub(is).Abs() <= startTolerance
}

// differsIn finds whose fact it was that differs.
func (f *Facts) differsIn(now Facts) *Broken {
	for i := range f.People {
		was := &f.People[i]
		is := now.of(was.Person)
		if is == nil {
			return &Broken{What: FactRole, Person: was.Person, Was: was.Facts[0].Value}
		}
		if b := was.differs(is); b != nil {
			return b
		}
	}
	for i := range now.People {
		if p := &now.People[i]; f.of(p.Person) == nil {
			return &Broken{What: FactRole, Person: p.Person, Now: p.Facts[0].Value}
		}
	}
	return nil
}

func (p *PersonFacts) differs(is *PersonFacts) *Broken {
	for i := range max(len(p.Facts), len(is.Facts)) {
		var a, b Fact
		if i < len(p.Facts) {
			a = p.Facts[i]
		}
		if i < len(is.Facts) {
			b = is.Facts[i]
		}
		if a.Value != b.Value {
			name := a.Name
			if name == "" {
				name = b.Name
			}
			return &Broken{What: name, Person: p.Person, Was: a.Value, Now: b.Value}
		}
	}
	return nil
}

func (f *Facts) of(id PersonID) *PersonFacts {
	for i := range f.People {
		if f.People[i].Person == id {
			return &f.People[i]
		}
	}
	return nil
}

// Hash is the SHA-256 of all values, in hex: to name facts in few bytes, as the
// question "sign?" does. The start is not among them, which may move a little.
func (f *Facts) Hash() string {
	h := sha256.New()
	for _, x := range f.Trip {
		switch x.Name {
		case FactStart:
		case FactSite:
			fmt.Fprintf(h, "%s=%s\n", x.Name, labelKey(x.Value))
		default:
			fmt.Fprintf(h, "%s=%s\n", x.Name, x.Value)
		}
	}
	for _, v := range f.values() {
		fmt.Fprintln(h, v)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Short is the beginning of Hash, short enough for a button: 12 characters.
func (f *Facts) Short() string { return f.Hash()[:12] }

// values are the people's facts as a set of values: people are compared by what
// is true of them, not by their ids.
func (f *Facts) values() []string {
	values := make([]string, 0, len(f.People))
	for i := range f.People {
		values = append(values, f.People[i].text())
	}
	slices.Sort(values)
	return values
}

func (p *PersonFacts) text() string {
	var b strings.Builder
	for _, f := range p.Facts {
		b.WriteString(f.Name + "=" + f.Value + "|")
	}
	return b.String()
}
