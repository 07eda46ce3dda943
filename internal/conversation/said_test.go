package conversation

import (
	"slices"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A time of day that was said is when the reading was taken. One that is not of
// the last hours, or not yet, is asked about.
func TestTheTimeThatWasSaid(t *testing.T) {
	for said, want := range map[string]string{
		"measured at 6:40, 32.4":         "06:40",
		"measured at 18:40, 32.4":        "", // last night
		"measured at 7:40, 32.4":         "", // not yet
		"measured at 3:40, 32.4":         "", // long ago
		"32.4 measured at 6:40, A":       "06:40",
		"measured 32.4, we sail at 8:30": "",
	} {
		at := situation(t, "Marit joins\nMarit presses [No]")
		at.now = at.when("2027-05-15 07:30")
		at.person("Marit: " + said)
		got := ""
		for _, r := range at.begins("Marit").Cylinders[0].Readings {
			got = r.At.In(at.zone).Format("15:04")
		}
		if got != want {
			t.Errorf("%q: taken %q, want %q", said, got, want)
		}
	}
}

// What is said of one cylinder's keeping answers the boat question of that one,
// and the other is asked about again.
func TestOneCylinderStayed(t *testing.T) {
	at := situation(t, "Tomasz: on A\nTomasz: 9 31.9\nTomasz presses [32 %]\n@ 08:00\nInês: /boat")
	open := func() (labels []string) {
		in := newTurn(Input{Trip: at.trip, Event: Event{Person: at.begins("Tomasz").ID}, Now: at.now})
		for _, c := range in.boatOpen() {
			labels = append(labels, c.Label)
		}
		return labels
	}
	if got := open(); !slices.Equal(got, []string{"17", "9"}) {
		t.Fatalf("asked about %v, want both", got)
	}
	at.person("Tomasz: 17 stayed with me")
	if got := open(); !slices.Equal(got, []string{"9"}) {
		t.Errorf("after 17 stayed %v are asked about, want 9", got)
	}
	at.person("Tomasz: 9 never left my side")
	if got := open(); len(got) > 0 {
		t.Errorf("after both stayed %v are asked about", got)
	}
	for _, said := range []string{"17 was out of my sight", "not sure about 9"} { // nothing is asked any more
		at.person("Tomasz: " + said)
		tomasz := at.begins("Tomasz")
		if said[0] == 'n' {
			said = "9"
		}
		for _, c := range tomasz.Cylinders {
			if strings.HasPrefix(said, c.Label) && c.Label != "" && len(at.trip.Evidence(c.ID, at.now).Counting) > 0 {
				t.Errorf("%s: its reading counts still", said)
			}
		}
	}
}

// Words of bad gas go to the leader at once and hold the clearance, in every
// language, also with a number beside them.
func TestBadGasIsPassedOn(t *testing.T) {
	for language, said := range map[string]string{
		"en": "17 32.4 but it smells of oil", "es": "huele a aceite", "pt": "cheira a óleo", "fr": "ça sent l'huile",
		"it": "puzza di olio", "de": "riecht nach Öl, 32,4", "nl": "ruikt naar olie", "ja": "オイル臭い", "zh": "有油味",
		"ar": "ريحته زيت",
	} {
		at := situation(t, "")
		at.trip = speaking(at, at.begins("Tomasz").ID, language)
		before := len(at.begins("Tomasz").Cylinders[0].Readings)
		at.person("Tomasz: " + said)
		told := slices.ContainsFunc(at.sent[at.begins("Inês").ID], func(m message.Message) bool {
			return slices.ContainsFunc(m.Lines, func(l message.Line) bool { return l.Key == "pass-on.bad-gas" })
		})
		tomasz := at.begins("Tomasz")
		if !told || tomasz.Speak == nil || len(tomasz.Cylinders[0].Readings) != before {
			t.Errorf("%s: %q: leader told %v, held %v, %d readings more", language, said, told, tomasz.Speak != nil,
				len(tomasz.Cylinders[0].Readings)-before)
		}
	}
}

// Another analyser's air point is taken while one is asked for, whether anybody
// named that analyser before or not.
func TestAnotherAnalysersAirPoint(t *testing.T) {
	for said, want := range map[string]string{"B air 20.9": "B", "B 20.9": "B", "C air 20.9": "C", "analyser B 20.8": "B",
		"20.9": "A"} {
		at := situation(t, "Tomasz: on A")
		p := at.begins("Tomasz").ID
		if at.sessions[p].State != stateAir {
			t.Fatalf("nothing is asked of A: %q", at.sessions[p].State)
		}
		at.person("Tomasz: " + said)
		a := at.trip.Analyser(want)
		if a == nil || len(a.AirPoints) != 1 || at.sessions[p].State == stateMeaning || at.sessions[p].State == stateAirName {
			t.Errorf("%q: the air point of %s is %+v in state %q", said, want, a, at.sessions[p].State)
		}
	}
}

// A word of a command is not swallowed by a name that begins with it, and two who
// may be meant are asked about.
func TestNamesLeaveWords(t *testing.T) {
	d := newDesk(t)
	d.change(func(trip *roster.Draft) {
		for _, name := range []string{"Max", "Max Gasparin", "Zoe Boatwright", "On"} {
			trip.AddPerson(&roster.Person{Name: name, Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{Asked: 32, Dive: 1}}},
				"", d.now)
		}
	})
	for _, tt := range []struct{ typed, who, rest string }{
		{"Max gas", "Max,Max Gasparin", "gas"},
		{"Max Gasparin gas", "Max Gasparin", "gas"},
		{"Max Gaspa 41 32.4", "Max Gasparin", "41 32.4"},
		{"Max 41 32.4", "Max", "41 32.4"},
		{"Zoe boat", "Zoe Boatwright", "boat"},
		{"On 41 32.4", "On", "41 32.4"},
		{"Ana M 18 32.4", "Ana Maria", "18 32.4"},
		{"Ana 18 32.4", "Ana Maria,Ana Paula", "18 32.4"},
	} {
		found, _, rest := orders.Named(d.trip, tt.typed)
		var names []string
		for _, p := range found {
			names = append(names, p.Name)
		}
		slices.Sort(names)
		if got := strings.Join(names, ","); got != tt.who || rest != tt.rest {
			t.Errorf("%q is of %q with %q, want %q with %q", tt.typed, got, rest, tt.who, tt.rest)
		}
	}
}

// A number that crew give for a label which two people have is asked about.
func TestCrewAreAskedWhoseLabel(t *testing.T) {
	d := newDesk(t)
	person := func(name string) *roster.Person {
		found, _, _ := orders.Named(d.trip, name)
		return found[0]
	}
	paula := person("Ana Paula")
	d.change(func(trip *roster.Draft) { trip.SetLabel(paula.Cylinders[0].ID, "17", paula.ID, d.now) })
	readings := func() (n int) {
		for _, p := range d.trip.People {
			for _, c := range p.Cylinders {
				n += len(c.Readings)
			}
		}
		return n
	}
	if got := d.types("17 32.4"); readings() != 0 || !strings.Contains(got, "Whose is it?") {
		t.Fatalf("%d readings, want to be asked whose cylinder it is: %s", readings(), got)
	}
	d.presses("lwho " + string(paula.ID))
	if c := person("Ana Paula").Cylinders[0]; readings() != 1 || len(c.Readings) != 1 || c.Readings[0].Percent != 32.4 {
		t.Errorf("%d readings, %+v on the cylinder that was meant", readings(), c.Readings)
	}
	d.now = d.now.Add(time.Minute)
	d.types("18 31.8")
	if c := person("Ana Maria").Cylinders[0]; len(c.Readings) != 1 {
		t.Errorf("18 31.8: %+v", c.Readings)
	}
}

// Who says their own name says whose the number is; another's name is asked about,
// and so is one that two share.
func TestOwnNameBesideAReading(t *testing.T) {
	for said, want := range map[string]int{"Marit here, 32.4": 1, "32.4 Marit": 1, "32.4 regards Marit": 1,
		"Tomasz 32.4": 0, "Tomasz here, 32.4": 0, "Rui 32.4": 0} {
		at := situation(t, "Marit joins\nMarit presses [No]")
		at.person("Marit: " + said)
		if got := len(at.begins("Marit").Cylinders[0].Readings); got != want {
			t.Errorf("%q: %d readings, want %d", said, got, want)
		}
	}
	d := newDesk(t)
	for _, name := range []string{"Ana Maria", "Tomasz"} {
		found, _, _ := orders.Named(d.trip, name)
		in := newTurn(Input{Trip: d.trip, Event: Event{Person: found[0].ID}, Now: d.now})
		if got := in.ownName() != ""; got != (name == "Tomasz") {
			t.Errorf("%s says their own name: %v", name, got)
		}
	}
}
