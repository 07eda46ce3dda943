package conversation

import (
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
)

// Of what stands on paper a leader says who watched and when; each line stands by
// itself, and one that can't be taken is named by what people call it.
func TestSheetSaysWhoWatchedAndWhen(t *testing.T) {
	d := newDesk(t) // 06:30 on the boat's clock
	ana, cylinder := string(d.trip.People[2].ID), string(d.trip.People[2].Cylinders[0].ID)
	said := d.types("/for\nTomasz 17 32.4 A 6:10 by Ana Maria\n@" + ana + " @" + cylinder +
		" 32.1 6:12\nAna Paula 19 31.9 6:12 by Ana Paula\nKenji 52 21.4 6:15 by Nobody")
	r := d.trip.People[1].Cylinders[0].Newest()
	if r == nil || string(r.Witness) != ana || r.By != inês || r.Entrant != gas.Witnessed {
		t.Fatalf("got %+v", r)
	}
	if want := time.Date(2027, 5, 15, 6, 10, 0, 0, time.UTC); !r.When().Equal(want) { // the Azores are on UTC in summer
		t.Errorf("taken %s, want %s", r.When(), want)
	}
	if c := d.trip.People[2].Cylinders[0]; c.Newest() == nil || c.Newest().Witness != inês {
		t.Error("a line by ids is not recorded")
	}
	if p := d.trip.People[3].Cylinders[0]; p.Newest() != nil {
		t.Error("somebody watched their own")
	}
	if p := d.trip.People[4].Cylinders[0]; p.Newest() != nil {
		t.Error("somebody who is not there watched")
	}
	for _, want := range []string{"Ana Paula 19 31.9", "Kenji 52 21.4", "Nobody"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in\n%s", want, said)
		}
	}
	if strings.Contains(said, "@") {
		t.Errorf("an id is read back:\n%s", said)
	}
}

// A dive that was led from paper is dived and on the record as that. It can't be
// signed afterwards.
func TestDiveLedFromPaper(t *testing.T) {
	d := newDesk(t)
	d.now = d.trip.Starts(1).Add(2 * time.Hour)
	said := d.types("/for\nTomasz 17 32.4 A 8:10 by Ana Maria")
	if !strings.Contains(said, "recorded") || len(d.buttons()) == 0 {
		t.Fatalf("no way to say that it was dived:\n%s", said)
	}
	if d.trip.OnPaper(1, d.now) {
		t.Error("on paper before a leader said that it was dived")
	}
	d.presses("ldived 1 yes 0")
	if !d.trip.OnPaper(1, d.now) || d.trip.OnPaper(2, d.now) {
		t.Error("not on paper")
	}
	if said := d.types("/record"); !strings.Contains(said, "on paper, entered afterwards") {
		t.Errorf("record: %s", said)
	}
	d.types("/signoff 1")
	d.presses("lsign 1")
	if d.trip.Signature(1) != nil {
		t.Error("signed after the fact")
	}
}

func (d *desk) buttons() (all []string) {
	for _, l := range d.last.Letters {
		for _, row := range l.Message.Buttons {
			for _, b := range row {
				if l.Person == inês {
					all = append(all, b.Do)
				}
			}
		}
	}
	return all
}
