package gas

// Stage is where a reading was taken.
type Stage uint8

// The dock, after the fill; the boat, before set-up.
const (
	Dock Stage = iota
	Boat
)

// String is "dock" or "boat".
func (s Stage) String() string {
	if s == Boat {
		return "boat"
	}
	return "dock"
}

// MarshalText writes "dock" or "boat".
func (s Stage) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads "dock" or "boat"; anything else is the dock.
func (s *Stage) UnmarshalText(b []byte) error {
	*s = Dock
	if string(b) == "boat" {
		*s = Boat
	}
	return nil
}

// Entrant is who took a reading.
type Entrant string

// The diver who breathes it; somebody who watched it being taken; the shop;
// somebody else, whose number counts for nobody.
const (
	ByDiver   Entrant = "diver"
	Witnessed Entrant = "witnessed"
	ByShop    Entrant = "shop"
	ByOther   Entrant = "other"
)

// Shown is whether a suspiciously round or quick reading was asked about.
type Shown string

// What is known of how the number came from the analyser.
const (
	ShownUnasked   Shown = ""           // not asked
	ShownDecimals  Shown = "decimals"   // yes, to one decimal that is what it showed
	ShownNoDecimal Shown = "no-decimal" // the analyser shows whole numbers only
)

// Card is what is known of a diver's enriched-air qualification.
type Card string

// The zero value counts as unseen.
const (
	CardUnseen Card = "unseen"
	CardSeen   Card = "seen"
	CardNone   Card = "none"
)
