package judge

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Shop is who says what the shop says.
const Shop roster.PersonID = "shop"

// Kind is what kind of thing was said or done.
type Kind string

// The kinds, with the fields of Said that each uses beside At and By.
const (
	// A number of the analyser: Reading (new), Cylinder, Value; Taken, Analyser, AirPoint, Weather, CO, Witness, Message.
	SaidReading Kind = "reading"
	// "No, 31.4": Of (the earlier number), Reading (new), Value; Analyser and AirPoint when said again.
	SaidCorrection Kind = "correction"
	// A number taken back: Of.
	SaidUndo Kind = "undo"
	// A leader names a witness for the next reading of a cylinder: Cylinder, Witness.
	SaidWitness Kind = "witness"
	// A number is being asked about: Cylinders (all it may be meant for), Question.
	SaidQuestion Kind = "question"
	// The question was answered, or taken back: Question.
	SaidAnswer    Kind = "answer"
	SaidWithdrawn Kind = "withdrawn"
	// "The analyser showed it", or that it has no decimals: Of, NoDecimals.
	SaidShown Kind = "shown"
	// An analyser in air: Analyser, AirPoint, Weather; Taken; Of, where that was asked of a reading.
	SaidAirPoint Kind = "air-point"
	// The weather of the place from now on: Weather.
	SaidWeather Kind = "weather"
	// Carbon monoxide: Cylinder, CO.
	SaidCarbonMonoxide Kind = "carbon-monoxide"
	// The shop's analyses that are off the same way are set aside.
	SaidSeriesAside Kind = "series-aside"

	// Filled or topped up: Cylinder.
	SaidFill Kind = "fill"
	// Another cylinder stands in the place: Cylinder, Label (empty: not labelled yet).
	SaidAnother Kind = "another-cylinder"
	// A label is given or put right: Cylinder, Label.
	SaidLabel Kind = "label"
	// Another blend is asked for: Cylinder, Asked.
	SaidRequest Kind = "request"
	// A new place for a cylinder: Person, New (its ID, Label, Asked, Dive).
	SaidAdded Kind = "cylinder-added"
	// No longer used: Cylinder.
	SaidRetired Kind = "cylinder-retired"
	// For another dive: Cylinder, Dive.
	SaidMoved Kind = "cylinder-moved"
	// A leader's word that the cylinder is not dived on the dive that it came from: Cylinder, Dive.
	SaidNotUsed Kind = "cylinder-not-used"
	// Planned again for what was measured: Cylinder.
	SaidReplanned Kind = "re-planned"

	// The boat check is opened, or opened again: Dive.
	SaidBoatCheck Kind = "boat-check"
	// The boat question: Cylinder, Boat.
	SaidBoatAnswer Kind = "boat-answer"

	// A card: Person, Card; Witness when a sole leader's.
	SaidCard Kind = "card"
	// A qualification: Person, Depth; Witness when a sole leader's.
	SaidQualification Kind = "qualification"
	// A limit of a leader: Person or Team, Dive (0 for all), Limit (zero: taken back).
	SaidLimit Kind = "limit"
	// To another team: Person, Team.
	SaidTeam Kind = "team"
	// Sits out, and back again: Person, Dive (0 for the trip).
	SaidOut  Kind = "out"
	SaidBack Kind = "back"
	// Outside this check, and taken back: Person, Dive (0 for the trip).
	SaidOutside     Kind = "outside"
	SaidOutsideBack Kind = "outside-back"
	// Helium or a closed circuit named, and a leader's word that it was a slip: Person.
	SaidHelium     Kind = "helium"
	SaidHeliumSlip Kind = "helium-slip"
	// The open invite is opened (Yes) or shut. Somebody waits there: NewPerson, who is By. They are let in: Person,
	// Card when it was seen; or sent away: Person.
	SaidInvite   Kind = "open-invite"
	SaidWaits    Kind = "waits"
	SaidLetIn    Kind = "let-in"
	SaidSentAway Kind = "sent-away"
	// A new person: NewPerson.
	SaidPerson Kind = "person-added"
	// Left, forgot or was removed; brought back; renamed: Person.
	SaidLeft        Kind = "left"
	SaidForgot      Kind = "forgot"
	SaidRemoved     Kind = "removed"
	SaidBroughtBack Kind = "brought-back"
	SaidRenamed     Kind = "renamed"
	// A leader hands over: Person. Somebody takes over, confirmed by a second person: Person, Witness.
	SaidHandOver Kind = "hand-over"
	SaidTakeOver Kind = "take-over"
	// The shop or another leader sets a role: Person, Leader, Crew.
	SaidRole Kind = "role"
	// SaidCalledOff and SaidPutOn are that the trip does not take place, or does after all: "the record keeps it",
	// and no clearance is another for it.
	SaidCalledOff Kind = "called-off"
	SaidPutOn     Kind = "put-on"
	// "Dived in the last 24 hours": Person, Yes.
	SaidLast24 Kind = "last-24-hours"

	// The plan of a dive: Dive, Plan; Consent.
	SaidPlan Kind = "plan"
	// Departure and first dive after: Departs, FirstDiveAfter; Consent.
	SaidStart Kind = "start"
	// The last dive does not take place: Dive.
	SaidDropped Kind = "dive-dropped"
	// The policy: Policy; Consent.
	SaidPolicy Kind = "policy"
	// A leader's consent to what the shop changed last and was not yet agreed to.
	SaidConsent Kind = "consent"

	// Dived: Dive, Dived (zero: as planned), Person (empty: all). Taken back: Dive. Not dived at all: Dive.
	SaidDived       Kind = "dived"
	SaidDivedBack   Kind = "dived-taken-back"
	SaidNotDived    Kind = "not-dived"
	SaidDivedMyself Kind = "dived-myself" // as a diver corrects it for themself: Dive, Dived

	// A leader signs: Dive, Signature.
	SaidSign Kind = "sign"
	// A leader takes back the signature that stands: Dive.
	SaidUnsigned Kind = "signature-withdrawn"
)

// Boat is an answer to the boat question.
type Boat string

// The three answers.
const (
	BoatKept    Boat = "kept"
	BoatChanged Boat = "changed"
	BoatNotSure Boat = "not-sure"
)

// Limit is a depth in the trip's units and minutes; 0 is no limit.
type Limit struct{ Depth, Minutes float64 }

// Dived is what was dived; 0 is as planned.
type Dived struct{ Depth, Minutes float64 }

// Said is one thing that was said or done, as it was stored. It holds what was
// meant; whether it may have any effect is judged.
type Said struct {
	At     time.Time // when it was said
	By     roster.PersonID
	Kind   Kind
	Change int // entries in a row with the same number, not 0, are one stored change

	Person    roster.PersonID
	Witness   roster.PersonID
	Consent   roster.PersonID // the leader who agreed, if it was said with that
	Cylinder  roster.CylinderID
	Cylinders []roster.CylinderID
	Reading   roster.ReadingID
	Of        roster.ReadingID
	Dive      int

	Value      float64   // percent
	Taken      time.Time // when the analyser showed it, from paper or by the sender's clock; zero is At
	Analyser   string
	AirPoint   float64 // percent; 0 when none
	Weather    gas.Weather
	CO         float64 // ppm, when HasCO
	HasCO      bool
	Message    string // readings of one message have the same; empty is a message of its own
	NoDecimals bool
	Question   string

	Label          string
	Asked          float64
	New            Cylinder
	NewPerson      Person
	Boat           Boat
	Card           Card
	Depth          gas.Depth
	Limit          Limit
	Team           string
	Leader, Crew   bool
	Yes            bool
	Plan           Dive
	Departs        time.Time
	FirstDiveAfter float64
	Policy         Policy
	Dived          Dived
	Signature      string
}
