package roster

import "testing"

func TestLabelsThatPeopleCallTheSame(t *testing.T) {
	for _, same := range [][2]string{{"17", "017"}, {"17", "0017"}, {"B7", "b 07"}, {"#17", "17"},
		{"# 017", "17"}, {"0 7", "7"}, {"0", "00"}, {"red tape", "Red Tape"},
		{"A-07-B", "a-7-b"}, {"", ""}} {
		if got := labelKey(same[0]) == labelKey(same[1]); !got {
			t.Errorf("%q and %q are two labels: %q, %q", same[0], same[1], labelKey(same[0]), labelKey(same[1]))
		}
	}
	for _, two := range [][2]string{{"17", "170"}, {"17", "107"}, {"0", "10"}, {"100", "10"}, {"7", "B7"}, {"1005", "15"},
		{"1 0", "1"}} {
		if labelKey(two[0]) == labelKey(two[1]) {
			t.Errorf("%q and %q are one label", two[0], two[1])
		}
	}
	for _, l := range []string{"17.", "17!", "(17)", "17-", "#17", "１７", "١٧", "۱۷", " 17 "} {
		if !SameLabel(l, "17") {
			t.Errorf("%q is another label than 17", l)
		}
	}
	for _, l := range []string{"18", "1.7", "71", "17b", "B17", "一七", "-", "🐟"} {
		if SameLabel(l, "17") {
			t.Errorf("%q is the same label as 17", l)
		}
	}
	if SameLabel("-", "🐟") || !SameLabel("🐟", "🐟") {
		t.Error("signs alone are labels, too")
	}
	if SameLabel("", "") || !SameLabel("017", "17") {
		t.Error("none is no label; a zero makes no other one")
	}
}
