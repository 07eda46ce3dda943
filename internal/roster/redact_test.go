package roster

import (
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
)

func TestRedaction(t *testing.T) {
	trip := &Trip{People: []*Person{{ID: "p1", Name: "Inês Couto"}, {ID: "p2", Name: "Tomasz van der Couto"},
		{ID: "p3", Name: "山田 花子"},
		{ID: "p4", Name: "Marit"}, {ID: "p5", Name: "Marit"}, {ID: "p6", Name: "Will"}}}
	for _, c := range []struct {
		who        PersonID
		text, want string
	}{
		{"p1", "Inês Couto dives with Tomasz", "erased dives with Tomasz"},
		{"p1", "/out ines ear trouble", "/out erased ear trouble"},
		{"p1", "INÊS, ines's, Inêsa", "erased, erased's, Inêsa"},
		{"p1", "Couto", "Couto"}, // may be the other one
		{"p1", "Tomasz van der Couto", "Tomasz van der Couto"},
		{"p2", "Tomasz van der Couto left the van", "erased left the van"},
		{"p2", "/limit TOMASZ 18", "/limit erased 18"},
		{"p3", "/for 花子 17 32.1", "/for erased 17 32.1"},
		{"p3", "山田 花子さん", "erasedさん"},
		{"p3", "花子さんを待つ", "erasedさんを待つ"},
		{"p4", "Marit", "Marit"}, // there are two
		{"p6", "will he? Willing", "erased he? Willing"},
		{"p6", "", ""},
		{"p9", "Inês", "Inês"},
		{"p1", "Ine\u0302s \xff\xfe ok", "erased \xff\xfe ok"},
	} {
		if got := trip.Redaction(c.who).Text(c.text); got != c.want {
			t.Errorf("%s in %q: got %q, want %q", c.who, c.text, got, c.want)
		}
	}
}

// What leaders typed about somebody who is erased doesn't name them any more.
func TestEraseTakesTheNameOutOfReasons(t *testing.T) {
	was := NewTrip("", "")
	was.People = []*Person{{ID: "p1", Name: "Inês", Leader: true},
		{ID: "p2", Name: "Ottokar Unverwechselbar", Cylinders: []*Cylinder{{ID: "c3", Label: "Ottokar 1"}}},
		{ID: "p4", Name: "Marit", Cylinders: []*Cylinder{{ID: "c5"}}}}
	trip := Change(was)
	now := time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	trip.SitOut("p4", 0, "p1", "waits for ottokar", now)
	trip.SetOutside("p4", 0, "p1", "with ottokar", now)
	trip.SetLimit("p4", Limit{Depth: gas.M(20), By: "p1", Why: "dives with Ottokar"}, now)
	trip.SetTeamLimit(Limit{Team: "1", Depth: gas.M(20), By: "p1", Why: "Ottokar's team"}, now)
	trip.MustSpeak("p4", Speak{At: now, Was: "as Ottokar"})
	trip.EditCylinder("c5").Questions = []Question{{ID: "q1"}}
	trip.Quote("q1", "Ottokar has mine")
	board := Board{People: []Clearance{{Person: "p4", Out: trip.People[2].OutOf(1)}}}
	trip.EditCourse().SignOffs = []SignOff{{Dive: 1, Board: seal(board),
		Withdrawn: &Reopened{Reason: "Unverwechselbar is late"}}}
	trip.Erase("p2", now)
	for _, left := range []string{trip.People[2].Outs[0].Reason, trip.People[2].Outsides[0].Reason,
		trip.People[2].Limits[0].Why,
		trip.Teams[0].Why, trip.People[2].Speak[0].Was, trip.People[2].Cylinders[0].Questions[0].Was,
		trip.SignOffs[0].Withdrawn.Reason, trip.SignOffs[0].Board.People[0].Out.Reason, trip.People[1].Cylinders[0].Label,
		trip.Acts[0].Reason} {
		if strings.Contains(strings.ToLower(left), "ottokar") || strings.Contains(left, "Unverwechselbar") ||
			!strings.Contains(left, ErasedName) {
			t.Errorf("%q still names them", left)
		}
	}
	if got := board.People[0].Out.Reason; got != "waits for ottokar" {
		t.Errorf("a board that somebody was given changed under them: %q", got)
	}
}

func FuzzRedaction(f *testing.F) {
	f.Add("Inês Couto", "/out ines ear trouble")
	f.Add("山田 花子", "花子")
	f.Add("\xff a", "\xffa\xff")
	f.Fuzz(func(t *testing.T, name, text string) {
		trip := &Trip{People: []*Person{{ID: "p1", Name: CleanName(name)}, {ID: "p2", Name: "Marit"}}}
		got := trip.Redaction("p1").Text(text)
		if full := CleanName(name); strings.Contains(got, full) && len(full) > 3 && !strings.Contains(ErasedName, full) &&
			!strings.Contains(full, ErasedName) && full != "Marit" && strings.Count(got, ErasedName) == strings.Count(text,
			ErasedName) {
			t.Errorf("%q in %q leaves %q", name, text, got)
		}
		if !strings.Contains(text, " ") && got == "" && text != "" {
			t.Errorf("%q in %q leaves nothing", name, text)
		}
	})
}
