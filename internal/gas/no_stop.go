package gas

// NoStop is a no-stop time: the longest bottom time, descent included, from
// which a direct ascent breaks no limit.
type NoStop struct {
	State   NoStopState `json:"state"`
	Minutes float64     `json:"minutes"` // unrounded; counts only when State is NoStopLimited
}

// NoStopState tells whether there is a no-stop time. The zero value means that
// none was computed.
type NoStopState uint8

// The states: not computed; a number of minutes; no limit within a day; none
// at all, not even the descent.
const (
	NoStopUnknown NoStopState = iota
	NoStopLimited
	NoStopUnlimited
	NoStopNone
)

var noStopNames = [...]string{"unknown", "limited", "unlimited", "none"}

// String is the word of the interface.
func (s NoStopState) String() string { return noStopNames[min(int(s), len(noStopNames)-1)] }

// MarshalText writes the word of the interface.
func (s NoStopState) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word of the interface; an unknown word is NoStopUnknown.
func (s *NoStopState) UnmarshalText(b []byte) error {
	*s = NoStopUnknown
	for i, n := range noStopNames {
		if n == string(b) {
			*s = NoStopState(i)
		}
	}
	return nil
}

// NoStopMinutes is the no-stop time as a number to compare with, 0 when there
// is none to hold to.
func (n Numbers) NoStopMinutes() float64 {
	if n.NoStop.State != NoStopLimited {
		return 0
	}
	return n.NoStop.Minutes
}
