package gas

import "testing"

func TestDepthsAreRoundedToTheSafeSide(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want Depth
	}{
		{"a limit rounds down", M(33.75).Floor(), M(33)},
		{"arithmetic's dust is no depth", M(39.9999999999).Floor(), M(40)},
		{"a plan rounds up", M(33.2).Ceil(), M(34)},
		{"but not for dust", M(40.0000000001).Ceil(), M(40)},
		{"a label of 33 m is 108 ft", M(33.75).LimitIn(Feet), Ft(108)}, // 108.27
		{"a limit of 100 ft is 30 m", Ft(100).LimitIn(Metres), M(30)},  // 30.48
		{"a limit in its own unit is whole", M(33.75).LimitIn(Metres), M(33)},
		{"30 m planned is 99 ft", M(30).PlannedIn(Feet), Ft(99)},     // 98.43
		{"110 ft planned is 34 m", Ft(110).PlannedIn(Metres), M(34)}, // 33.53
		{"a plan in its own unit is as given", M(33.5).PlannedIn(Metres), M(33.5)},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.got != c.want {
				t.Errorf("got %v, want %v", c.got, c.want)
			}
		})
	}
}

func TestDeeperThan(t *testing.T) {
	for _, c := range []struct {
		a, b Depth
		want bool
	}{
		{M(31), M(30), true}, {M(30), M(30), false}, {M(30.0000000001), M(30), false},
		{Ft(100), M(30), true}, {M(31), Ft(100), true}, {Ft(98), M(30), false}, {M(30), Ft(99), false},
	} {
		if got := c.a.DeeperThan(c.b); got != c.want {
			t.Errorf("%v deeper than %v: got %v", c.a, c.b, got)
		}
	}
}

func TestUnitsAndWatersReadWhatTheyWrite(t *testing.T) {
	for _, s := range []string{"m", "ft"} {
		var u Unit
		if err := u.UnmarshalText([]byte(s)); err != nil || u.String() != s {
			t.Errorf("%s: got %v, %v", s, u, err)
		}
	}
	for _, s := range []string{"salt", "fresh"} {
		var w Water
		if err := w.UnmarshalText([]byte(s)); err != nil || w.String() != s {
			t.Errorf("%s: got %v, %v", s, w, err)
		}
	}
	var u Unit
	var w Water
	if u.UnmarshalText([]byte("fathoms")) == nil || w.UnmarshalText([]byte("brackish")) == nil {
		t.Error("an unknown word was taken")
	}
	var s Stage
	if err := s.UnmarshalText([]byte("boat")); err != nil || s != Boat || Dock.String() != "dock" ||
		Boat.String() != "boat" {
		t.Errorf("stage: got %v, %v", s, err)
	}
}

func TestPercentIsKnownOnlyWhenAGasCanHaveIt(t *testing.T) {
	for p, want := range map[Percent]bool{0: false, -1: false, 0.1: true, 21: true, 100: true, 100.1: false} {
		if got := p.Known(); got != want {
			t.Errorf("%v: got %v", p, got)
		}
	}
}
