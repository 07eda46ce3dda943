package orders

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
)

func TestSiteIsParsed(t *testing.T) {
	for _, tt := range []struct {
		typed string
		want  SiteChange
	}{
		{"28m", SiteChange{Depth: gas.M(28)}},
		{"28 m", SiteChange{Depth: gas.M(28)}},
		{"92 ft", SiteChange{Depth: gas.Ft(92)}},
		{"28", SiteChange{Depth: gas.M(28)}},
		{"27,5 m", SiteChange{Depth: gas.M(27.5)}},
		{"Cathedral Reef", SiteChange{Name: "Cathedral Reef"}},
		{"Cathedral Reef 28m", SiteChange{Name: "Cathedral Reef", Depth: gas.M(28)}},
		{"28m Cathedral Reef, bottom 40 m", SiteChange{Name: "Cathedral Reef", Depth: gas.M(28), Bottom: gas.M(40),
			BottomSaid: true}},
		{"no bottom", SiteChange{BottomSaid: true, Bottomless: true}},
		{"bottom none", SiteChange{BottomSaid: true, Bottomless: true}},
		{"bottomless 20m", SiteChange{Depth: gas.M(20), BottomSaid: true, Bottomless: true}},
		{"bottom unknown", SiteChange{BottomSaid: true}},
		{"40 min", SiteChange{Minutes: 40}},
		{"28m 40min because of the swell", SiteChange{Depth: gas.M(28), Minutes: 40, Reason: "the swell"}},
		{"because 28m is better", SiteChange{}},
		{"Wreck 9", SiteChange{Name: "Wreck 9"}},
		{"3 Sisters 20m", SiteChange{Name: "3 Sisters", Depth: gas.M(20)}},
		{"Wreck U96", SiteChange{Name: "Wreck U96"}},
	} {
		t.Run(tt.typed, func(t *testing.T) {
			got, problem := ParseSite(tt.typed, gas.Metres)
			if tt.want == (SiteChange{}) {
				if problem.Key == "" {
					t.Errorf("got %+v, want a problem", got)
				}
				return
			}
			if problem.Key != "" {
				t.Fatalf("got problem %s, want none", problem.Key)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

var siteSeeds = []string{
	"", " ", "Cathedral Reef 28m bottom 40 m because swell", "1 28m 40 min", "dive 2 no bottom", "bottom",
	"bottom bottom bottom", "28 m 30 m", "٢٨ m", "２８m", "\u202e28m", "28\u00a0m", "1e9 m", "99999999999999999999 m", "-1m",
	"0m", "NaN m", "Inf ft", "because", "becauſe x", "İstanbul because İİİ 20m", "🙂🙂🙂", "<b>x</b>", "\x00", "\xff\xfe",
	strings.Repeat("9", 4096),
}

// Whatever is typed of a dive, what is taken can be a dive.
func FuzzParseSite(f *testing.F) {
	for _, s := range siteSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, unit := range []gas.Unit{gas.Metres, gas.Feet} {
			ch, problem := ParseSite(text, unit)
			if problem.Key != "" {
				continue
			}
			if ch.Empty() {
				t.Errorf("%q: nothing was taken, and no problem said", text)
			}
			if ch.Depth.Value < 0 || ch.Depth.DeeperThan(gas.M(deepest)) || ch.Depth.Value != ch.Depth.Value {
				t.Errorf("%q: depth %v", text, ch.Depth)
			}
			if ch.BottomSaid && ch.Bottomless && ch.Bottom.Known() || ch.Bottom.Value < 0 {
				t.Errorf("%q: bottom %v and bottomless", text, ch.Bottom)
			}
			if ch.Minutes < 0 || ch.Minutes > LongestDive {
				t.Errorf("%q: %v minutes", text, ch.Minutes)
			}
			if len([]rune(ch.Name)) > longestSite || len([]rune(ch.Reason)) > LongestReason {
				t.Errorf("%q: name or reason too long", text)
			}
		}
	})
}
