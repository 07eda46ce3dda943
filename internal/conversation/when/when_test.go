package when

import (
	"strings"
	"testing"
	"time"
)

// Friday, 14 May 2027.
var friday = time.Date(2027, 5, 14, 19, 0, 0, 0, time.FixedZone("", -3600))

func TestRead(t *testing.T) {
	for _, tt := range []struct{ language, text, day, clock, rest string }{
		{"en", "tomorrow 8:30 Anvil Ledge 33 m", "2027-05-15", "8h30m0s", "Anvil Ledge 33 m"},
		{"en", "8:30 tomorrow, Anvil Ledge", "2027-05-15", "8h30m0s", "Anvil Ledge"},
		{"en", "today 08.30", "2027-05-14", "8h30m0s", ""},
		{"en", "Saturday 8:30 pm Wreck 9", "2027-05-15", "20h30m0s", "Wreck 9"},
		{"en", "friday 12:05am", "2027-05-14", "5m0s", ""},
		{"en", "2027-06-01 9h Reef", "2027-06-01", "9h0m0s", "Reef"},
		{"en", "2027-02-30 9:00", "", "-1ns", "2027-02-30 9:00"},
		{"en", "25:00 x", "", "-1ns", "25:00 x"},
		{"en", "8 x", "", "-1ns", "8 x"},
		{"de", "morgen 8.30 Uhrwerk", "2027-05-15", "8h30m0s", "Uhrwerk"},
		{"nl", "morgen 8:30", "2027-05-15", "8h30m0s", ""},
		{"fr", "demain 8h30 Le Sec", "2027-05-15", "8h30m0s", "Le Sec"},
		{"es", "mañana 8:30", "2027-05-15", "8h30m0s", ""},
		{"pt", "amanhã 8:30", "2027-05-15", "8h30m0s", ""},
		{"it", "domenica 8:30", "2027-05-16", "8h30m0s", ""},
		{"ja", "明日 8:30", "2027-05-15", "8h30m0s", ""},
		{"zh", "明天 8:30", "2027-05-15", "8h30m0s", ""},
		{"ar", "غدا 8:30", "2027-05-15", "8h30m0s", ""},
		{"ar", "tomorrow 8:30", "2027-05-15", "8h30m0s", ""},
	} {
		s, rest := Read(strings.Fields(tt.text), tt.language, friday)
		day := ""
		if !s.Day.IsZero() {
			day = s.Day.Format(time.DateOnly)
		}
		if day != tt.day || s.Clock.String() != tt.clock || strings.Join(rest, " ") != tt.rest {
			t.Errorf("%s %q: %s %s %q", tt.language, tt.text, day, s.Clock, rest)
		}
	}
}

func TestAt(t *testing.T) {
	s, _ := Read([]string{"tomorrow", "8:30"}, "en", friday)
	if got := s.At().UTC().Format(time.RFC3339); got != "2027-05-15T09:30:00Z" {
		t.Error(got)
	}
}

// Every language that is offered has its words, each weekday once.
func TestWords(t *testing.T) {
	for _, tag := range []string{"en", "es", "fr", "de", "it", "pt", "nl", "ja", "zh", "ar"} {
		w := words()[tag]
		if len(w.Today) == 0 || len(w.Tomorrow) == 0 || len(w.Weekdays) != 7 {
			t.Errorf("%s: %+v", tag, w)
		}
	}
}
