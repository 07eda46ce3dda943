package roster

import (
	"time"

	"gasmuster/internal/gas"
)

// CONTRACT STUBS: signatures are fixed, bodies are being written.

// Person is the person with that id, nil when there is none.
func (t *Trip) Person(id PersonID) *Person { panic("todo") }

// Cylinder is the cylinder with that id and its diver, nil when there is none.
func (t *Trip) Cylinder(id CylinderID) (*Person, *Cylinder) { panic("todo") }

// Labelled are the cylinders in use that carry a label, ignoring case and blanks.
func (t *Trip) Labelled(label string) []*Cylinder { panic("todo") }

// Reading is the reading with that id, with its cylinder.
func (t *Trip) Reading(id ReadingID) (*Cylinder, *Reading) { panic("todo") }

// ReadingsOf are the readings that came in the message ref of person by.
func (t *Trip) ReadingsOf(by PersonID, ref string) []*Reading { panic("todo") }

// InUse are a person's cylinders that were not changed for another.
func (p *Person) InUse() []*Cylinder { panic("todo") }

// Current is the reading that counts last for c: not undone, after the last
// fill; nil when there is none.
func (c *Cylinder) Current() *Reading { panic("todo") }

// Valid are the readings that count: not undone, after the last fill, oldest first.
func (c *Cylinder) Valid() []*Reading { panic("todo") }

// Active tells whether a person counts on the board: dives (has cylinders or
// is no leader) and was not sat out. Somebody who left stays active.
func (p *Person) Active() bool { panic("todo") }

// CurrentDive is the first dive that is not signed off, from 1; 0 when all are.
func (t *Trip) CurrentDive() int { panic("todo") }

// Stage is where the trip is: the boat once the leader opened the boat check.
func (t *Trip) Stage() gas.Stage { panic("todo") }

// Starts is when dive n is expected to start: the departure, plus the dives
// and surface intervals before it.
func (t *Trip) Starts(n int) time.Time { panic("todo") }

// Over tells whether the trip takes no more changes: all signed off, or a day
// past its last dive.
func (t *Trip) Over(now time.Time) bool { panic("todo") }

// Leaders are the people who lead.
func (t *Trip) Leaders() []*Person { panic("todo") }

// Board computes the board as of now.
func (t *Trip) Board(now time.Time) Board { panic("todo") }

// Of is a person's line, nil when there is none.
func (b *Board) Of(p PersonID) *PersonBoard { panic("todo") }

// Preview computes what person p's own verdict would be if cylinder c had been
// asked for (and filled exactly as) blend: the request check.
func (t *Trip) Preview(p PersonID, c CylinderID, blend gas.Percent, now time.Time) gas.Verdict {
	panic("todo")
}

// Note appends an act to the log.
func (t *Trip) Note(a Act) { panic("todo") }

// Record adds a reading to cylinder c. r carries Percent, At, Ref, By,
// Entrant, Analyser, Calibrated; ID, Stage, Dive, AirPoint, Hurried and
// Replaces (the last undone reading since the fill and stage) are set here.
// News on a signed dive reopens it.
func (t *Trip) Record(c CylinderID, r Reading, now time.Time) *Reading { panic("todo") }

// Correct replaces a reading by another value; the old one stays as undone.
func (t *Trip) Correct(id ReadingID, p gas.Percent, by PersonID, at, now time.Time) *Reading {
	panic("todo")
}

// Undo takes a reading back. It returns false when it was undone before.
func (t *Trip) Undo(id ReadingID, by PersonID, now time.Time) bool { panic("todo") }

// MoveReading gives a reading to another cylinder of the same person ("sorry,
// 17 not 22"): undone there, recorded here.
func (t *Trip) MoveReading(id ReadingID, to CylinderID, by PersonID, now time.Time) *Reading {
	panic("todo")
}

// Confirm records the answer to "is that what the analyser showed?".
func (t *Trip) Confirm(id ReadingID, s gas.Shown, by PersonID, now time.Time) { panic("todo") }

// SetAnalyser says which analyser a reading was taken with.
func (t *Trip) SetAnalyser(id ReadingID, analyser string, by PersonID, now time.Time) { panic("todo") }

// SetAirPoint records what an analyser showed in fresh air; it applies to all
// readings of that analyser. An unknown analyser is added.
func (t *Trip) SetAirPoint(analyser string, p gas.Percent, by PersonID, now time.Time) { panic("todo") }

// SetLabel puts a label on a cylinder. Two divers may claim one label: that is
// the rule same-cylinder's business.
func (t *Trip) SetLabel(c CylinderID, label string, by PersonID, now time.Time) { panic("todo") }

// SetAsked changes a request.
func (t *Trip) SetAsked(c CylinderID, p gas.Percent, by PersonID, now time.Time) { panic("todo") }

// Fill notes a fill or top-up: all earlier readings are void.
func (t *Trip) Fill(c CylinderID, at time.Time, by PersonID, now time.Time) { panic("todo") }

// Swap retires a cylinder and gives its person a new one for the same dive and
// request, without label and readings.
func (t *Trip) Swap(c CylinderID, by PersonID, reason string, now time.Time) *Cylinder { panic("todo") }

// AddCylinder gives a person one more cylinder for a dive.
func (t *Trip) AddCylinder(p PersonID, dive int, asked gas.Percent, by PersonID, now time.Time) *Cylinder {
	panic("todo")
}

// OpenBoat opens the boat check of the current dive.
func (t *Trip) OpenBoat(by PersonID, now time.Time) { panic("todo") }

// Attend records the answer to the boat question.
func (t *Trip) Attend(c CylinderID, answer string, by PersonID, now time.Time) { panic("todo") }

// SetDive changes dive n's plan.
func (t *Trip) SetDive(n int, d Dive, by PersonID, reason string, now time.Time) { panic("todo") }

// SetDepth limits a person's depth; the zero depth lifts the limit.
func (t *Trip) SetDepth(p PersonID, d gas.Depth, by PersonID, reason string, now time.Time) {
	panic("todo")
}

// SitOut takes a person off the dive; BackIn takes that back.
func (t *Trip) SitOut(p PersonID, by PersonID, reason string, now time.Time) { panic("todo") }

// BackIn takes a sit-out back.
func (t *Trip) BackIn(p PersonID, by PersonID, reason string, now time.Time) { panic("todo") }

// CardSeen records that somebody saw the person's enriched-air card.
func (t *Trip) CardSeen(p PersonID, by PersonID, now time.Time) { panic("todo") }

// Replan records that diver and leader planned again with the measured value.
func (t *Trip) Replan(c CylinderID, by PersonID, now time.Time) { panic("todo") }

// SetDived records what dive n was, for a person or ("") for all.
func (t *Trip) SetDived(n int, d Dived, now time.Time) { panic("todo") }

// Join records that an address opened a person's invite.
func (t *Trip) Join(p PersonID, a Address, language string, now time.Time) { panic("todo") }

// Leave marks a person as gone; they stay on the board until sat out.
func (t *Trip) Leave(p PersonID, by PersonID, reason string, now time.Time) { panic("todo") }

// Erase replaces a person's name and ids by "erased" and keeps anonymous
// facts; before sign-off they also count as having left.
func (t *Trip) Erase(p PersonID, now time.Time) { panic("todo") }

// SetDeparture moves the departure.
func (t *Trip) SetDeparture(at time.Time, by PersonID, now time.Time) { panic("todo") }

// SignOff signs the current dive off. It is refused with the board entries
// that stand in the way (nobody active, no-go or no reading).
func (t *Trip) SignOff(by PersonID, now time.Time) (refused []PersonBoard, ok bool) { panic("todo") }

// Reopen reopens the last signed dive.
func (t *Trip) Reopen(by PersonID, reason string, now time.Time) bool { panic("todo") }

// QueueUp puts a person at the end of the analyser queue if they owe a reading
// and are not in it.
func (t *Trip) QueueUp(p PersonID, now time.Time) { panic("todo") }

// NextTurns ends turns whose person owes nothing or whose five minutes are
// over, gives free analysers to those waiting, and returns the new turns.
func (t *Trip) NextTurns(now time.Time) []NewTurn { panic("todo") }

// PassTurn gives a person's turn or place up, to the end of the queue.
func (t *Trip) PassTurn(p PersonID, now time.Time) { panic("todo") }

// NewTurn is somebody whose turn it is now.
type NewTurn struct {
	Person   PersonID
	Analyser string
}
