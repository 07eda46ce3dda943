package gas

// Severity is how much one finding weighs, in order. The zero value was never
// set by a rule and weighs as no-go, as does every value nobody defined.
type Severity uint8

// Pass < note < limits < not cleared (Missing) < no-go (Stop); NotApplicable
// never counts.
const (
	Undefined Severity = iota
	NotApplicable
	Pass
	Note
	Limits
	Missing
	Stop
)

var severityNames = [...]string{"no-go", "not-applicable", "pass", "note", "limits", "not-cleared", "no-go"}

// weight is the severity as it counts: the order is that of the constants, and
// it is defined here alone.
func (s Severity) weight() Severity {
	if s == Undefined || s > Stop {
		return Stop // a value nobody defined is no reason to go
	}
	return s
}

// Worse tells whether s weighs more than other.
func (s Severity) Worse(other Severity) bool { return s.weight() > other.weight() }

// Status is what a verdict comes to whose worst finding is s.
func (s Severity) Status() Status {
	switch s.weight() {
	case Stop:
		return NoGo
	case Missing:
		return NotCleared
	case Limits:
		return GoWithLimits
	}
	return Go
}

// String is the word of the interface.
func (s Severity) String() string { return severityNames[s.weight()] }

// MarshalText writes the word of the interface.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word of the interface; an unknown word is Undefined.
func (s *Severity) UnmarshalText(b []byte) error {
	*s = Undefined
	for i := NotApplicable; i <= Stop; i++ {
		if severityNames[i] == string(b) {
			*s = i
		}
	}
	return nil
}

// Status is what a verdict comes down to. The zero value is NotCleared, so that
// nothing forgotten can look like a go.
type Status uint8

// The four verdicts of the trade's day.
const (
	NotCleared Status = iota
	Go
	GoWithLimits
	NoGo
)

var statusNames = [...]string{"not-cleared", "go", "limits", "no-go"}

// statusSeverity is the worst finding that a status allows.
var statusSeverity = [...]Severity{NotCleared: Missing, Go: Note, GoWithLimits: Limits, NoGo: Stop}

// severity is that of the status; a value nobody defined is not cleared.
func (s Status) severity() Severity {
	if int(s) >= len(statusSeverity) {
		return Missing
	}
	return statusSeverity[s]
}

// String is the word of the interface: not-cleared, go, limits, no-go.
func (s Status) String() string {
	if int(s) >= len(statusNames) {
		return statusNames[NotCleared]
	}
	return statusNames[s]
}

// MarshalText writes the word of the interface.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word of the interface; an unknown word is NotCleared.
func (s *Status) UnmarshalText(b []byte) error {
	*s = NotCleared
	for i, n := range statusNames {
		if n == string(b) {
			*s = Status(i)
		}
	}
	return nil
}

// Worse is the worse of two statuses.
func Worse(a, b Status) Status {
	if b.severity().Worse(a.severity()) {
		return b
	}
	return a
}
