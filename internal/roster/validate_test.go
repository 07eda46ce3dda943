package roster_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestValidTrip(t *testing.T) {
	trip := owned(charter())
	trip.Evening, trip.Quiet = "0 18 * * *", "22:00-06:00"
	if faults := trip.Validate(); faults != nil {
		t.Errorf("a good trip: got %v", faults)
	}
}

func TestValidate(t *testing.T) {
	long := strings.Repeat("ü", 81)
	for _, tt := range []struct {
		name string
		do   func(*roster.Draft)
		want []string // paths
	}{
		{"nothing at all", func(tr *roster.Draft) {
			*tr = *roster.Change(roster.NewTrip("", ""))
			tr.EditPlan().Policy = gas.DefaultPolicy(gas.Metres)
		},

			[]string{"/name", "/time_zone", "/departs_at", "/dives", "/leaders"}},
		{"everything at once", func(tr *roster.Draft) {
			tr.Name, tr.Zone = long, "CET"
			tr.Dives[1].Depth = gas.M(-3)
			tr.People[2].Cylinders[1].Dive = 7
		}, []string{"/name", "/time_zone", "/dives/1/depth", "/divers/1/cylinders/1/dive"}},
		{"name of 80 characters in 160 bytes", func(tr *roster.Draft) { tr.Name = long[:160] }, nil},
		{"zone Local", func(tr *roster.Draft) { tr.Zone = "Local" }, []string{"/time_zone"}},
		{"zone offset", func(tr *roster.Draft) { tr.Zone = "+01:00" }, []string{"/time_zone"}},
		{"zone offset by name", func(tr *roster.Draft) { tr.Zone = "Etc/GMT+3" }, []string{"/time_zone"}},
		{"zone abbreviation", func(tr *roster.Draft) { tr.Zone = "IST" }, []string{"/time_zone"}},
		{"zone that does not exist", func(tr *roster.Draft) { tr.Zone = "Atlantic/Atlantis" }, []string{"/time_zone"}},
		{"zone path", func(tr *roster.Draft) { tr.Zone = "../etc/passwd" }, []string{"/time_zone"}},
		{"zone UTC", func(tr *roster.Draft) { tr.Zone = "UTC" }, nil},
		{"year 20270", func(tr *roster.Draft) { tr.Departs = departs.AddDate(18243, 0, 0) }, []string{"/departs_at"}},
		{"crew with a name too long, a diver outside without a reason", func(tr *roster.Draft) {
			tr.AddPerson(&roster.Person{ID: "p20", Name: long, Crew: true}, "", dawn)
			tr.Edit(marit).Outsides = []roster.Out{{}}
		}, []string{"/divers/1/outside", "/crew/0/name"}},
		{"a day until the first dive", func(tr *roster.Draft) { tr.FirstDiveAfter = 24*60 + 1 },
			[]string{"/first_dive_after"}},
		{"six dives", func(tr *roster.Draft) {
			for len(tr.Dives) < 6 {
				tr.Dives = append(tr.Dives, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(10), Minutes: 30})
			}
		}, []string{"/dives"}},
		{"as deep as the policy", func(tr *roster.Draft) { tr.Dives[1].Depth = gas.M(40) }, nil},
		{"deeper than the policy", func(tr *roster.Draft) { tr.Dives[1].Depth = gas.M(40.5) }, []string{"/dives/1/depth"}},
		{"qualified to 100 m", func(tr *roster.Draft) { tr.People[1].DepthLimit = gas.M(100) }, nil},
		{"qualified deeper", func(tr *roster.Draft) { tr.People[1].DepthLimit = gas.M(100.5) },
			[]string{"/divers/0/depth_limit"}},
		{"no minutes", func(tr *roster.Draft) { tr.Dives[1].Minutes = 0 }, []string{"/dives/1/minutes"}},
		{"no deepest", func(tr *roster.Draft) { tr.Policy.Deepest = gas.Depth{} }, []string{"/policy/deepest"}},
		{"first dive after", func(tr *roster.Draft) { tr.FirstDiveAfter = -1 }, []string{"/first_dive_after"}},
		{"NaN", func(tr *roster.Draft) { tr.Dives[1].Depth, tr.Dives[1].Minutes = gas.M(math.NaN()), math.NaN() },
			[]string{"/dives/1/depth", "/dives/1/minutes"}},
		{"feet on a metric trip", func(tr *roster.Draft) { tr.Dives[1].Depth = gas.Ft(60) }, []string{"/dives/1/depth"}},
		{"130 ft", func(tr *roster.Draft) { feet(tr); tr.Dives[1].Depth = gas.Ft(130) }, nil},
		{"131 ft", func(tr *roster.Draft) { feet(tr); tr.Dives[1].Depth = gas.Ft(131) }, []string{"/dives/1/depth"}},
		{"bottom above the plan", func(tr *roster.Draft) { tr.Dives[0].Bottom = gas.M(29) }, []string{"/dives/0/bottom"}},
		{"bottom and none", func(tr *roster.Draft) { tr.Dives[0].Bottomless = true }, []string{"/dives/0/bottom"}},
		{"negative bottom", func(tr *roster.Draft) { tr.Dives[0].Bottom = gas.M(-30) }, []string{"/dives/0/bottom"}},
		{"interval before the first dive", func(tr *roster.Draft) { tr.Dives[0].Interval = 60 },
			[]string{"/dives/0/interval"}},
		{"long minutes, long interval", func(tr *roster.Draft) { tr.Dives[1].Minutes, tr.Dives[1].Interval = 601, 1441 },
			[]string{"/dives/1/minutes", "/dives/1/interval"}},
		{"altitude", func(tr *roster.Draft) { tr.Dives[0].Altitude, tr.Dives[1].Altitude = 5001, -1 },
			[]string{"/dives/0/altitude", "/dives/1/altitude"}},
		{"no site", func(tr *roster.Draft) { tr.Dives[0].Site = "" }, []string{"/dives/0/site"}},
		{"policy", func(tr *roster.Draft) { tr.Policy.PPO2, tr.Policy.MaxO2 = 1.5, 41 },
			[]string{"/policy/ppo2", "/policy/max_o2"}},
		{"cron that panics its parser", func(tr *roster.Draft) { tr.Evening = "CRON_TZ=UTC" }, []string{"/evening"}},
		{"cron with a zone", func(tr *roster.Draft) { tr.Evening = "TZ=UTC 0 18 * * *" }, []string{"/evening"}},
		{"cron of six fields", func(tr *roster.Draft) { tr.Evening = "0 0 18 * * *" }, []string{"/evening"}},
		{"cron that never comes true", func(tr *roster.Draft) { tr.Evening = "0 0 31 2 *" }, []string{"/evening"}},
		{"cron interval", func(tr *roster.Draft) { tr.Evening = "@every 1h" }, []string{"/evening"}},
		{"quiet hours", func(tr *roster.Draft) { tr.Quiet = "22-6" }, []string{"/quiet"}},
		{"quiet all day", func(tr *roster.Draft) { tr.Quiet = "06:00-06:00" }, []string{"/quiet"}},
		{"analysers of one name", func(tr *roster.Draft) { tr.Analysers[1].Name = " a" }, []string{"/analysers/1"}},
		{"no leader", func(tr *roster.Draft) { tr.People = tr.People[1:] }, []string{"/leaders"}},
		{"five leaders", func(tr *roster.Draft) {
			for range 4 {
				tr.AddPerson(&roster.Person{Name: "Lucía", Leader: true}, "", dawn)
			}
		}, []string{"/leaders"}},
		{"61 divers", func(tr *roster.Draft) {
			for len(tr.People) < 62 {
				tr.AddPerson(&roster.Person{Name: "Kenji"}, "", dawn)
			}
		}, []string{"/divers"}},
		{"seven cylinders", func(tr *roster.Draft) {
			for range 5 {
				tr.AddCylinder(marit, 1, 0, "", "", dawn)
			}
		}, []string{"/divers/1/cylinders"}},
		{"seven with a retired one", func(tr *roster.Draft) {
			for range 5 {
				tr.AddCylinder(marit, 1, 0, "", "", dawn)
			}
			tr.Retire("c6", "", "", dawn)
		}, nil},
		{"requests", func(tr *roster.Draft) {
			tr.People[1].Cylinders[0].Asked, tr.People[1].Cylinders[1].Asked = 40.5, 20
		}, []string{"/divers/0/cylinders/0/asked", "/divers/0/cylinders/1/asked"}},
		{"one label, two people", func(tr *roster.Draft) {
			tr.People[1].Cylinders[0].Label, tr.People[2].Cylinders[1].Label = "b 17", "B17"
		}, []string{"/divers/1/cylinders/1/label"}},
		{"one label, one person, two dives", func(tr *roster.Draft) {
			tr.People[1].Cylinders[0].Label, tr.People[1].Cylinders[1].Label = "17", "17"
		}, nil},
		{"one label, one person, one dive", func(tr *roster.Draft) {
			tr.People[1].Cylinders[0].Label, tr.People[1].Cylinders[1].Label = "17", "17"
			tr.People[1].Cylinders[1].Dive = 1
		}, []string{"/divers/0/cylinders/1/label"}},
		{"one label, two people, on a running trip", func(tr *roster.Draft) {
			tr.Version = 4
			tr.People[1].Cylinders[0].Label, tr.People[2].Cylinders[1].Label = "17", "17"
		}, nil},
		{"person", func(tr *roster.Draft) {
			p := tr.People[1]
			p.Name, p.Card, p.Units, p.Language, p.DepthLimit = "", "maybe", "km", "no language", gas.M(101)
		}, []string{"/divers/0/name", "/divers/0/card", "/divers/0/units", "/divers/0/language", "/divers/0/depth_limit"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trip := owned(charter())
			tt.do(trip)
			var got []string
			for _, f := range trip.Validate() {
				got = append(got, f.Path)
			}
			if d := cmp.Diff(tt.want, got); d != "" {
				t.Errorf("faults (-want +got):\n%s\n%v", d, trip.Validate())
			}
		})
	}
}

// owned is the draft with its plan and people copied, so that they may be
// written to as they stand.
func owned(d *roster.Draft) *roster.Draft {
	d.EditPlan()
	for _, p := range d.People {
		d.Edit(p.ID)
	}
	return d
}

func feet(tr *roster.Draft) {
	tr.Units, tr.Policy.Deepest = gas.Feet, gas.Ft(130)
	for i := range tr.Dives {
		tr.Dives[i].Depth, tr.Dives[i].Bottom = gas.Ft(60), gas.Depth{}
		tr.Dives[i].Bottom.Unit = gas.Feet
	}
}

func TestCleanName(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"plain", "Inês", "Inês"},
		{"composed", "Ine\u0302s", "Inês"},
		{"blanks", "  Mar\tit \u00a0 O. ", "Mar it O."},
		{"a line of its own", "Kenji\nGO", "Kenji GO"},
		{"a verdict of its own", "⛔ Kenji ✅", "Kenji"},
		{"a coloured verdict", "⚠\ufe0f Marit", "Marit"},
		{"a joined emoji", "Yusuf 👨\u200d👩\u200d👧", "Yusuf 👨\u200d👩\u200d👧"},
		{"a joined emoji of a colour", "👩🏽\u200d🚀 Mei", "👩🏽\u200d🚀 Mei"},
		{"joiners that join nothing", "\u200dKen\u200dji🐟\u200d", "Kenji🐟"},
		{"a script that is written joined", "می\u200cنا", "می\u200cنا"},
		{"unicode line ends", "Kenji\u2028GO\u2029GO\u0085GO", "Kenji GO GO GO"},
		{"turned around", "\u202eOG\u202c \u2067x\u2069", "OG x"},
		{"zero width", "Ao\u200bi\u200cf\u200de\ufeff", "Aoife"},
		{"control", "Yu\x00s\x1b[31muf\x7f", "Yus[31muf"},
		{"broken bytes", "Luc\xffía", "Lucía"},
		{"emoji", "🐟 Tomasz", "🐟 Tomasz"},
		{"right to left letters stay", "يوسف", "يوسف"},
		{"nothing left", "\u200b\n\u202e", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := roster.CleanName(tt.in); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

func FuzzCleanName(f *testing.F) {
	for _, s := range []string{"Inês", "\u202eGO", "👨\u200d⛔\u200d👩", "\ufe0f\u200d👩", "a\u0301\u200b\u0301", "\xff\xfe",
		"\u2028", "e\u0323\u0302"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := roster.CleanName(s)
		if again := roster.CleanName(got); again != got {
			t.Errorf("cleaning %q twice: %q, then %q", s, got, again)
		}
		if !utf8.ValidString(got) || strings.TrimSpace(got) != got {
			t.Errorf("%q came out as %q", s, got)
		}
		for _, r := range got {
			if unicode.IsControl(r) || strings.ContainsRune(
				"\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029", r) {
				t.Errorf("%q keeps %U", s, r)
			}
		}
	})
}

func FuzzSchedule(f *testing.F) {
	for _, s := range []string{"0 18 * * *", "CRON_TZ=UTC", "TZ=", "@daily", "@every 1s", "0 0 31 2 *", "*/0 * * * *",
		"60 24 * * *"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		schedule, err := roster.Schedule(s)
		if err == nil && schedule.Next(dawn).IsZero() {
			t.Errorf("%q was taken and never comes true", s)
		}
	})
}

func FuzzQuiet(f *testing.F) {
	f.Add("22:00-06:00")
	f.Add("22:00-")
	f.Fuzz(func(t *testing.T, s string) {
		from, to, err := roster.Quiet(s)
		if err == nil && (from < 0 || to < 0 || from >= 24*time.Hour || to >= 24*time.Hour) {
			t.Errorf("%q: %v to %v", s, from, to)
		}
	})
}

func TestIdentities(t *testing.T) {
	seen := map[roster.TripID]bool{}
	for range 1000 {
		id := roster.NewTripID()
		if !id.Valid() || seen[id] {
			t.Fatalf("trip id %q: valid %v, seen before %v", id, id.Valid(), seen[id])
		}
		seen[id] = true
	}
	for _, id := range []roster.TripID{"", "abcdefghi", "abcdefghijk", "ABCDEFGHIJ", "abcdefghi1", "abcde-ghij"} {
		if id.Valid() {
			t.Errorf("%q: got valid", id)
		}
	}
	if a, b := roster.NewToken(), roster.NewToken(); a == b || len(a) != 26 {
		t.Errorf("tokens %q and %q", a, b)
	}
}

func TestQuiet(t *testing.T) {
	from, to, err := roster.Quiet("22:00-06:30")
	if err != nil || fmt.Sprint(from, to) != "22h0m0s 6h30m0s" {
		t.Errorf("got %v to %v, %v", from, to, err)
	}
}
