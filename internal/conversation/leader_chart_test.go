package conversation

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// pictures are the pictures that the last event sent, by receiver.
func (d *desk) pictures() map[roster.PersonID]*message.Picture {
	all := map[roster.PersonID]*message.Picture{}
	for _, l := range d.last.Letters {
		if l.Message.Picture != nil {
			all[l.Person] = l.Message.Picture
		}
	}
	return all
}

// The chart comes with the board that a leader asks for, by command or button,
// and with nothing else.
func TestTheBoardBringsItsChart(t *testing.T) {
	d := newDesk(t)
	if d.types("/board"); len(d.pictures()) != 0 {
		t.Error("a chart came before anything was measured")
	}
	d.types("/for Tomasz 17 32.4 A")
	for _, say := range []func(){func() { d.types("/board") }, func() { d.presses("board") }} {
		if say(); len(d.pictures()) != 1 || d.pictures()[inês] == nil {
			t.Errorf("pictures for %v, want one for the leader", d.pictures())
		}
	}
	for _, other := range []string{"/missing", "/gas", "/record", "/for Tomasz 17 32.4 A"} {
		if d.types(other); len(d.pictures()) != 0 {
			t.Errorf("%s brought a chart", other)
		}
	}
	d.trip = edited(d.trip, func(d *roster.Draft) {
		d.EditCourse().GroupChat = roster.Address{Channel: "test",
			ID: "group"}
	})
	r := stepped(t, Input{Trip: d.trip, Now: d.now,
		Event: Event{Kind: GroupText, Person: inês, Text: "/board", Address: d.trip.GroupChat}})
	for _, l := range r.Letters {
		if l.Message.Picture != nil {
			t.Error("a chart of everybody's gas went to the group chat")
		}
	}
}

// Those who need something stand first, as the depth rules found them: 36.4 %
// is too rich for 30 m (MOD 28 m at 1.4, NOAA), 32 % has its limit at 33 m
// above the bottom of 34 m, 28 % fits.
func TestChartPutsFirstWhatNeedsSomething(t *testing.T) {
	d := newDesk(t)
	d.types("/for Ana Maria 18 28.0 A")
	d.types("/for Tomasz 17 32.0 A")
	d.types("/for Kenji K9 36.4 A")
	d.types("/board")
	p := d.pictures()[inês]
	if p == nil {
		t.Fatal("no chart came with the board")
	}
	type row struct {
		name string
		fit  message.Fit
	}
	var got []row
	for _, r := range p.Rows {
		got = append(got, row{r.Name.S, r.Fit})
	}
	want := []row{{"Kenji", message.FitStop}, {"Ana Paula", message.FitUnknown}, {"Tomasz", message.FitLimit},
		{"Ana Maria", message.FitLimit}}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(row{})); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// After dark, where the trip is, the picture is dark. The Azores are an hour
// behind UTC in winter and at UTC in summer (IANA tz database).
func TestChartIsDarkAtNight(t *testing.T) {
	for at, want := range map[string]bool{
		"2027-05-15T05:59:00Z": true, "2027-05-15T06:00:00Z": false, "2027-05-15T19:59:00Z": false,
		"2027-05-15T20:00:00Z": true,
		"2027-01-15T20:30:00Z": false, "2027-01-15T21:00:00Z": true,
	} {
		now, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		trip := edited(leaderTrip(), func(d *roster.Draft) { d.EditPlan().Departs = now.Add(time.Hour) })
		if got := Chart(trip, 1, now).Dark; got != want {
			t.Errorf("%s: dark %v, want %v", at, got, want)
		}
	}
}
