package reminders

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// The trip of these tests: Inês leads and does not dive, Tomasz, Marit and
// Kenji dive twice; departure 08:30 in the Azores, which is 08:30 UTC in May.
var departure = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)

func saturday() *roster.Draft {
	t := roster.Change(roster.NewTrip("sat2tank22", "keelhaven"))
	*t.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: departure,
		Policy:  gas.DefaultPolicy(gas.Metres),
		Evening: "0 18 * * *", Quiet: "22:00-06:00", Analysers: []roster.Analyser{{Name: "A"}},
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(34), Minutes: 22},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Minutes: 40, Interval: 60}}}
	booked := departure.AddDate(0, 0, -7)
	t.AddPerson(&roster.Person{Name: "Inês", Leader: true, Card: gas.CardSeen}, "", booked)
	for _, name := range []string{"Tomasz", "Marit", "Kenji"} {
		t.AddPerson(&roster.Person{Name: name, Card: gas.CardSeen,
			Cylinders: []*roster.Cylinder{{Asked: 32, Dive: 1}, {Asked: 36, Dive: 2}}}, "", booked)
	}
	for _, p := range t.People {
		t.Join(p.ID, roster.Address{Channel: "telegram", ID: string(p.ID)}, "en", booked)
	}
	return t
}

// who finds a person by name.
func who(t *roster.Draft, name string) *roster.Person {
	for _, p := range t.People {
		if p.Name == name {
			return p
		}
	}
	panic("no " + name)
}

func analyse(t *roster.Draft, name string, at time.Time, percent ...gas.Percent) {
	p := who(t, name)
	for i, v := range percent {
		t.Record(p.InUse()[i].ID, roster.Reading{Percent: v, At: at.Add(time.Duration(i) * time.Minute), By: p.ID,
			Entrant: gas.ByDiver, Analyser: "A", Shown: gas.ShownDecimals}, at)
	}
}

// tick decides and remembers, and writes each decision on a line: "send nudge
// Marit (owes)".
func tick(t *roster.Draft, now time.Time) []string {
	var lines []string
	for _, d := range Decide(t.Trip, now) {
		Remember(t, d, now)
		name := string(d.Person)
		if p := t.Person(d.Person); p != nil {
			name = p.Name
		}
		lines = append(lines, fmt.Sprintf("%s %s %s (%s)", d.Action, d.Kind, name, d.Reason))
	}
	return lines
}

// sends are the lines that were sent.
func sends(lines []string) []string {
	var sent []string
	for _, l := range lines {
		if s, ok := strings.CutPrefix(l, "send "); ok {
			sent = append(sent, s)
		}
	}
	return sent
}

func at(clock string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", "2027-05-"+clock)
	if err != nil {
		panic(err)
	}
	return t
}

// TestDay plays a whole day: nobody answers until each does.
func TestDay(t *testing.T) {
	trip := saturday()
	steps := []struct {
		name string
		at   string
		do   func()
		want []string
	}{
		{"the afternoon before", "14 17:59", nil, nil},
		{"evening", "14 18:00", nil, []string{"evening Inês (everybody)", "evening Tomasz (everybody)",
			"evening Marit (everybody)", "evening Kenji (everybody)"}},
		{"a moment later", "14 18:01", nil, nil},
		{"dawn", "15 06:59", func() { analyse(trip, "Kenji", at("15 05:00"), 31.8, 35.6) }, nil},
		{"the cylinders are there", "15 07:00", nil, []string{"ready Tomasz (owes)", "ready Marit (owes)"}},
		{"nudge, one has answered", "15 07:45", func() { analyse(trip, "Marit", at("15 07:20"), 32.1, 36.2) },
			[]string{"nudge Tomasz (owes)"}},
		{"for the last time; the leader hears", "15 08:10", nil,
			[]string{"last Tomasz (owes)", "escalate Inês (others-owe)"}},
		{"departure", "15 08:30", nil, nil},
		{"boat check open, all but one have answered", "15 09:10", func() {
			analyse(trip, "Tomasz", at("15 08:20"), 32.0, 36.0)
			trip.OpenBoat(1, who(trip, "Inês").ID, at("15 09:00"))
			for _, n := range []string{"Tomasz", "Marit"} {
				trip.Attend(who(trip, n).InUse()[0].ID, roster.Kept, who(trip, n).ID, at("15 09:05"))
			}
		}, []string{"boat-check Kenji (owes)"}},
		{"the leader hears", "15 09:20", nil, []string{"boat-behind Inês (others-owe)"}},
		{"dived; two of three owe something for the second dive", "15 10:00", func() {
			trip.Attend(who(trip, "Kenji").InUse()[0].ID, roster.OutOfSight, who(trip, "Kenji").ID, at("15 09:25"))
			analyse(trip, "Kenji", at("15 09:26"), 31.9)
			if _, ok := trip.SignOff(1, who(trip, "Inês").ID, at("15 09:30")); !ok {
				t.Fatal("not signed off")
			}
			for _, n := range []string{"Tomasz", "Marit"} {
				trip.Fill(who(trip, n).InUse()[1].ID, at("15 09:50"), "", at("15 09:50"))
			}
			trip.SetDived(1, roster.Dived{Depth: gas.M(29), Minutes: 21, By: who(trip, "Inês").ID, At: at("15 09:58")},
				at("15 09:58"))
		}, []string{"second-dive Tomasz (owes)", "second-dive Marit (owes)"}},
		{"and nothing any more", "15 14:00", nil, nil},
	}
	for _, s := range steps {
		t.Run(s.name, func(t *testing.T) {
			if s.do != nil {
				s.do()
			}
			if diff := cmp.Diff(s.want, sends(tick(trip, at(s.at)))); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			if again := tick(trip, at(s.at)); len(again) > 0 {
				t.Errorf("the same instant again: %v", again)
			}
		})
	}
}

// TestReasons: what is not sent has its reason.
func TestReasons(t *testing.T) {
	tests := []struct {
		name string
		with func(*roster.Draft)
		at   string
		want string
	}{
		{"answered", func(x *roster.Draft) { analyse(x, "Marit", at("15 05:00"), 32, 36) }, "15 07:45",
			"drop nudge Marit (answered)"},
		{"sits out", func(x *roster.Draft) { x.SitOut(who(x, "Marit").ID, 0, who(x, "Inês").ID, "other", at("15 05:00")) },
			"15 07:45", "drop nudge Marit (sits-out)"},
		{"left", func(x *roster.Draft) { x.Leave(who(x, "Marit").ID, who(x, "Marit").ID, "", at("15 05:00")) }, "15 07:45",
			"drop nudge Marit (left)"},
		{"erased", func(x *roster.Draft) { x.Erase(who(x, "Marit").ID, at("15 05:00")) }, "15 07:45",
			"drop nudge erased (left)"},
		{"not joined", func(x *roster.Draft) { x.Edit(who(x, "Marit").ID).Joined = time.Time{} }, "15 07:45",
			"drop nudge Marit (not-joined)"},
		{"unreachable", func(x *roster.Draft) { x.Edit(who(x, "Marit").ID).Unreachable = "blocked" }, "15 07:45",
			"drop nudge Marit (unreachable)"},
		{"the evening waits for those who have not joined",
			func(x *roster.Draft) { x.Edit(who(x, "Marit").ID).Joined = time.Time{} }, "14 18:00",
			"hold evening Marit (not-joined)"},
		{"and for those who can't be reached", func(x *roster.Draft) { x.Edit(who(x, "Marit").ID).Unreachable = "blocked" },
			"14 18:00", "hold evening Marit (unreachable)"},
		{"not for those who left", func(x *roster.Draft) {
			x.Leave(who(x, "Marit").ID, who(x, "Marit").ID, "",
				at("14 05:00"))
		}, "14 18:00", "drop evening Marit (left)"},
		{"a leader without a cylinder", nil, "15 07:45", "drop nudge Inês (not-diving)"},
		{"a leader who sits out still leads", func(x *roster.Draft) { x.SitOut("p1", 0, "p1", "other", at("14 05:00")) },
			"15 08:10", "send escalate Inês (others-owe)"},
		{"all in: nothing to escalate", func(x *roster.Draft) {
			for _, n := range []string{"Tomasz", "Marit", "Kenji"} {
				analyse(x, n, at("15 05:00"), 32.1, 36.1)
			}
		}, "15 08:10", "drop escalate Inês (all-in)"},
		{"just nudged by the leader", func(x *roster.Draft) { NudgedByHand(x, who(x, "Marit").ID, at("15 07:31")) },
			"15 07:45", "drop nudge Marit (said-before)"},
		{"nudged by the leader a quarter of an hour ago", func(x *roster.Draft) {
			tick(x, at("15 07:00"))
			NudgedByHand(x, who(x, "Marit").ID, at("15 07:30"))
		}, "15 07:45", "send nudge Marit (owes)"},
		{"signed off", func(x *roster.Draft) {
			for _, n := range []string{"Tomasz", "Marit", "Kenji"} {
				analyse(x, n, at("15 05:00"), 32.1, 36.1)
			}
			x.OpenBoat(1, "p1", at("15 05:10"))
			x.SignOff(1, "p1", at("15 06:00"))
		}, "15 07:45", "drop nudge Marit (signed-off)"},
		{"the group hears counts", func(x *roster.Draft) {
			x.EditCourse().GroupChat = roster.Address{Channel: "telegram",
				ID: "-1"}
		}, "15 07:45", "send nudge group (others-owe)"},
		{"the group hears nothing when all is in", func(x *roster.Draft) {
			x.EditCourse().GroupChat = roster.Address{Channel: "telegram", ID: "-1"}
			for _, n := range []string{"Tomasz", "Marit", "Kenji"} {
				analyse(x, n, at("15 05:00"), 32.1, 36.1)
			}
		}, "15 07:45", "drop nudge group (all-in)"},
		{"the cylinders came just now", func(x *roster.Draft) {
			x.SetCylindersReady(at("15 07:35"), at("15 05:00"))
			tick(x,
				at("15 07:35"))
		},
			"15 07:45", "drop nudge Marit (said-before)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			trip := saturday()
			if strings.HasPrefix(tt.at, "15") {
				tick(trip, at("14 18:00")) // the evening message went out
			}
			if tt.with != nil {
				tt.with(trip)
			}
			got := tick(trip, at(tt.at))
			for _, l := range got {
				if l == tt.want {
					return
				}
			}
			t.Errorf("got %s\nwant %s among them", strings.Join(got, "\n    "), tt.want)
		})
	}
}

// TestLate: a process that was down says what still makes sense, once.
func TestLate(t *testing.T) {
	tests := []struct {
		name, at string
		want     []string
	}{
		{"an hour late", "14 19:00", []string{"evening Inês", "evening Tomasz", "evening Marit", "evening Kenji"}},
		{"the whole night, back at dawn", "15 06:00",
			[]string{"evening Inês", "evening Tomasz", "evening Marit", "evening Kenji"}},
		{"too late for the evening", "15 06:35", nil},
		{"between two nudges: one of them", "15 07:50", []string{"ready Tomasz", "ready Marit", "ready Kenji"}},
		{"ten minutes before departure", "15 08:20", []string{"last Tomasz", "last Marit", "last Kenji", "escalate Inês"}},
		{"after departure", "15 08:31", nil},
		{"days later", "20 12:00", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			trip := saturday()
			var got []string
			for _, l := range sends(tick(trip, at(tt.at))) {
				got = append(got, l[:strings.LastIndex(l, " ")])
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

func TestQuietHours(t *testing.T) {
	trip := saturday()
	trip.EditPlan().Evening = "30 22 * * *"
	got := tick(trip, at("14 22:30"))
	if len(got) != 4 || got[1] != "hold evening Tomasz (quiet-hours)" {
		t.Fatalf("in quiet hours: %v, want all held", got)
	}
	if next := Next(trip.Trip, at("14 22:30")); !next.Equal(at("15 06:00")) {
		t.Errorf("next look at %v, want 06:00: the quiet hours are over", next)
	}
	if got := sends(tick(trip, at("15 06:00"))); len(got) != 4 || !strings.HasPrefix(got[0], "evening") {
		t.Errorf("after the quiet hours: %v, want the evening message", got)
	}
}

// A boat at six: its cylinders are there at half past four, and nobody is woken
// before 05:15.
func TestEarlyBoat(t *testing.T) {
	trip := saturday()
	trip.EditPlan().Departs = at("15 06:00")
	tick(trip, at("14 18:00"))
	all := func(kind string) []string {
		return []string{kind + " Tomasz (owes)", kind + " Marit (owes)", kind + " Kenji (owes)"}
	}
	for _, step := range []struct {
		at   string
		want []string
	}{
		{"15 04:30", nil}, {"15 05:14", nil}, {"15 05:15", all("ready")}, {"15 05:39", nil},
		{"15 05:40", append(all("last"), "escalate Inês (others-owe)")},
	} {
		if diff := cmp.Diff(step.want, sends(tick(trip, at(step.at)))); diff != "" {
			t.Errorf("%s: -want +got:\n%s", step.at, diff)
		}
	}
	trip = saturday()
	trip.EditPlan().Departs = at("15 06:00")
	tick(trip, at("15 04:30"))
	if next := Next(trip.Trip, at("15 04:30")); !next.Equal(at("15 05:15")) {
		t.Errorf("next look at %v, want 05:15", next)
	}
}

// Nobody is reminded before the cylinders can be analysed.
func TestCylindersReady(t *testing.T) {
	all := []string{"Tomasz", "Marit", "Kenji"}
	tests := []struct {
		name string
		with func(*roster.Draft)
		want map[string]string // when what goes to all three
	}{
		{"as usual", func(*roster.Draft) {}, map[string]string{"15 07:00": "ready", "15 07:45": "nudge", "15 08:10": "last"}},
		{"as planned", func(x *roster.Draft) { x.SetCylindersReady(at("15 06:40"), at("14 12:00")) },
			map[string]string{"15 06:40": "ready", "15 07:45": "nudge", "15 08:10": "last"}},
		{"late", func(x *roster.Draft) { x.SetCylindersReady(at("15 08:00"), at("14 12:00")) },
			map[string]string{"15 08:00": "ready"}},
		{"too late for anything else", func(x *roster.Draft) { x.SetCylindersReady(at("15 08:20"), at("14 12:00")) },
			map[string]string{"15 08:20": "ready"}},
		{"said by the shop", func(x *roster.Draft) { x.CylindersAreReady(at("15 06:10")) },
			map[string]string{"15 06:10": "ready", "15 07:45": "nudge", "15 08:10": "last"}},
		{"moved with the departure", func(x *roster.Draft) {
			x.SetCylindersReady(at("15 06:40"), at("14 12:00"))
			x.SetDeparture(departure.Add(time.Hour), "", at("14 13:00"))
		}, map[string]string{"15 07:40": "ready", "15 08:45": "nudge", "15 09:10": "last"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			trip := saturday()
			tt.with(trip)
			tick(trip, at("14 18:00"))
			got := map[string]string{}
			for now := at("14 18:01"); now.Before(at("15 09:20")); now = now.Add(time.Minute) {
				for _, l := range sends(tick(trip, now)) {
					if kind, name, _ := strings.Cut(strings.TrimSuffix(l, " (owes)"), " "); name == all[0] {
						got[now.Format("02 15:04")] = kind
					}
				}
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

func TestAnnounce(t *testing.T) {
	trip := saturday()
	trip.EditCourse().Announced = at("14 23:10")
	want := []string{"evening Inês (everybody)", "evening Tomasz (everybody)", "evening Marit (everybody)",
		"evening Kenji (everybody)"}
	if diff := cmp.Diff(want, sends(tick(trip, at("14 23:10")))); diff != "" {
		t.Errorf("at once, in quiet hours too; -want +got:\n%s", diff)
	}
	if got := sends(tick(trip, at("15 05:00"))); len(got) > 0 {
		t.Errorf("and not again by schedule: %v", got)
	}
	week := saturday()
	week.EditCourse().Announced = at("08 12:00")
	tick(week, at("08 12:00"))
	if got := sends(tick(week, at("14 18:00"))); len(got) != 4 {
		t.Errorf("announced a week ahead, the evening before says: %v, want the evening message", got)
	}
}

// TestMoved: a departure that moves reminds anew, but does not repeat what was
// just said.
func TestMoved(t *testing.T) {
	trip := saturday()
	tick(trip, at("14 18:00"))
	tick(trip, at("15 07:00")) // the cylinders are there
	tick(trip, at("15 07:45"))
	trip.SetDeparture(departure.Add(10*time.Minute), "", at("15 07:50"))
	if got := sends(tick(trip, at("15 07:55"))); len(got) > 0 {
		t.Errorf("ten minutes later: %v, want nothing that was just said", got)
	}
	trip.SetDeparture(departure.Add(3*time.Hour), "", at("15 07:58"))
	if got := sends(tick(trip, at("15 09:59"))); len(got) > 0 {
		t.Errorf("same day, before the cylinders are there: %v, want none", got)
	}
	want := []string{"ready Tomasz (owes)", "ready Marit (owes)", "ready Kenji (owes)"}
	if diff := cmp.Diff(want, sends(tick(trip, at("15 10:00")))); diff != "" {
		t.Errorf("before the new departure; -want +got:\n%s", diff)
	}
	trip.SetDeparture(departure.AddDate(0, 0, 1), "", at("15 11:40"))
	if got := sends(tick(trip, at("15 18:00"))); len(got) != 4 || !strings.HasPrefix(got[0], "evening") {
		t.Errorf("moved to the next day: %v, want the evening message", got)
	}
	trip.SetDeparture(departure.Add(3*time.Hour), "", at("15 18:10")) // and back, into the past
	if got := sends(tick(trip, at("15 18:11"))); len(got) > 0 {
		t.Errorf("moved back: %v, want nothing", got)
	}
}

func TestJoinsLate(t *testing.T) {
	trip := saturday()
	marit := who(trip, "Marit").ID
	trip.Edit(marit).Joined = time.Time{}
	tick(trip, at("14 18:00"))
	if next := Next(trip.Trip, at("14 18:00")); !next.Equal(at("15 06:30")) {
		t.Errorf("next look at %v, want the morning: nobody looks every second for somebody who may come", next)
	}
	trip.Join(marit, roster.Address{Channel: "web", ID: "x"}, "en", at("14 20:00"))
	if next := Next(trip.Trip, at("14 20:00")); next.After(at("14 20:00")) {
		t.Errorf("next look at %v, want at once", next)
	}
	if got := sends(tick(trip, at("14 20:00"))); len(got) != 1 || got[0] != "evening Marit (everybody)" {
		t.Errorf("joined at eight: %v, want her evening message", got)
	}
}

func TestEveningOf(t *testing.T) {
	tests := []struct{ name, zone, departs, expression, want string }{
		{"the day before, in the trip's zone", "Atlantic/Azores", "2027-05-15T08:30:00Z", "0 18 * * *",
			"2027-05-14T18:00:00Z"},
		{"a departure just after midnight", "Europe/Berlin", "2026-06-01T22:30:00Z", "0 18 * * *", "2026-06-01T16:00:00Z"},
		{"the zone's day, not UTC's", "Pacific/Auckland", "2026-06-01T20:00:00Z", "0 18 * * *", "2026-06-01T06:00:00Z"},
		{"nothing said is 18:00", "UTC", "2026-06-02T08:00:00Z", "", "2026-06-01T18:00:00Z"},
		{"twice that day: the first", "UTC", "2026-06-02T08:00:00Z", "0 12,18 * * *", "2026-06-01T12:00:00Z"},
		{"Fridays only, for a Sunday", "UTC", "2026-06-07T08:00:00Z", "0 18 * * 5", "2026-06-05T18:00:00Z"},
		{"Saturdays only, for a Saturday: a week before", "UTC", "2026-06-06T08:00:00Z", "0 18 * * 6",
			"2026-05-30T18:00:00Z"},
		{"at a time that does not exist", "Europe/Berlin", "2026-03-30T07:00:00Z", "30 2 * * *", "2026-03-29T01:00:00Z"},
		{"at a time that comes twice", "Europe/Berlin", "2026-10-26T07:00:00Z", "30 2 * * *", "2026-10-25T00:30:00Z"},
		{"midnight that does not exist", "Africa/Cairo", "2026-04-25T07:00:00Z", "0 0 * * *", "2026-04-23T22:00:00Z"},
		{"a day that does not exist", "Pacific/Apia", "2011-12-30T20:00:00Z", "0 18 * * *", "2011-12-30T10:00:00Z"},
		{"what can't be read is 18:00", "UTC", "2026-06-02T08:00:00Z", "CRON_TZ=UTC", "2026-06-01T18:00:00Z"},
		{"never", "UTC", "2026-06-06T08:00:00Z", "0 18 1 1 *", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			trip := roster.NewTrip("sat2tank22", "keelhaven")
			trip.Plan = &roster.Plan{Zone: tt.zone, Departs: instant(t, tt.departs), Evening: tt.expression}
			when, ok := eveningOf(trip, zone(t, tt.zone))
			got := ""
			if ok {
				got = when.UTC().Format(time.RFC3339)
			}
			if got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

func TestSecondDiveByTheClock(t *testing.T) {
	trip := saturday()
	for _, n := range []string{"Tomasz", "Marit", "Kenji"} {
		analyse(trip, n, at("15 05:00"), 32.1, 36.1)
	}
	trip.OpenBoat(1, "p1", at("15 05:20"))
	if _, ok := trip.SignOff(1, "p1", at("15 08:40")); !ok {
		t.Fatal("not signed off")
	}
	trip.Fill(who(trip, "Marit").InUse()[1].ID, at("15 08:45"), "", at("15 08:45"))
	// Signed at 08:40, 22 minutes, 30 m up at 9 m/min, half of an hour's interval: 09:35:20.
	due := at("15 09:35").Add(20 * time.Second)
	if next := Next(trip.Trip, at("15 08:45")); next.After(due) {
		t.Errorf("next look at %v, want no later than %v", next, due)
	}
	if got := sends(tick(trip, due.Add(-time.Second))); len(got) > 0 {
		t.Errorf("before half of the interval: %v", got)
	}
	if got := sends(tick(trip, due)); len(got) != 1 || got[0] != "second-dive Marit (owes)" {
		t.Errorf("got %v, want Marit alone reminded", got)
	}
}

func TestTurns(t *testing.T) {
	trip := saturday()
	tick(trip, at("14 18:00"))
	tick(trip, at("15 05:59"))
	trip.QueueUp(who(trip, "Tomasz").ID, at("15 06:00"))
	trip.NextTurns(at("15 06:00"))
	for _, d := range Plan(trip.Trip, at("15 06:00")) {
		if d.Kind == Turn {
			t.Fatalf("nobody waits, and yet %v is planned", d)
		}
	}
	trip.QueueUp(who(trip, "Marit").ID, at("15 06:02"))
	trip.NextTurns(at("15 06:02"))
	tick(trip, at("15 06:02"))
	if next := Next(trip.Trip, at("15 06:02")); !next.Equal(at("15 06:05")) {
		t.Errorf("next look at %v, want 06:05: five minutes are over", next)
	}
	if got := sends(tick(trip, at("15 06:05"))); len(got) != 1 || got[0] != "turn  (turn-over)" {
		t.Errorf("got %v, want the turn passed", got)
	}
}
