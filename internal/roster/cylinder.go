package roster

import (
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// Cylinder is one cylinder of one person for one dive, with the whole history
// of its readings. Another cylinder in its place is another value with the same
// Place. Cylinders that ever carried the same label are one physical cylinder.
type Cylinder struct {
	ID        CylinderID  `json:"id"`
	Place     CylinderID  `json:"place,omitempty"` // the first cylinder that stood here, "" for this one; see At
	Label     string      `json:"label,omitempty"` // given by the diver at the dock or at booking
	Labels    []Labelling `json:"labels,omitempty"`
	Asked     gas.Percent `json:"asked,omitzero"`
	Dive      int         `json:"dive"`
	Size      string      `json:"size,omitempty"`
	Owner     string      `json:"owner,omitempty"` // "shop", "diver"
	Fills     []Fill      `json:"fills,omitempty"`
	Readings  []*Reading  `json:"readings,omitempty"` // in the order they came
	Answers   []Attended  `json:"answers,omitempty"`  // to the boat question, in the order they came
	COs       []Monoxide  `json:"co,omitempty"`       // measured, in the order they came
	Questions []Question  `json:"questions,omitempty"`
	Replanned *Replanned  `json:"replanned,omitempty"`
	Changed   []Asked     `json:"changed,omitempty"` // earlier requests
	// NextWitness is whose next number of it a leader said is one that they watched.
	NextWitness PersonID `json:"next_witness,omitempty"`
	Moves       []Move   `json:"moves,omitempty"` // to other dives
	// its label was put right from one that somebody else claims: analysed again since
	Afresh  evidence.Moment `json:"afresh,omitzero"`
	Added   evidence.Moment `json:"added,omitzero"`    // when it was put on the trip, after the trip itself
	Retired time.Time       `json:"retired,omitzero"`  // changed for another cylinder or out of use; kept for the record
	Swapped bool            `json:"swapped,omitempty"` // retired for another one in its place
}

// Labelling is that a cylinder was called by a label from a moment on.
type Labelling struct {
	evidence.Moment
	Label string `json:"label"`
}

// Asked is an earlier request for a blend, with who changed it.
type Asked struct {
	evidence.Moment
	Was       gas.Percent `json:"was"`
	By        PersonID    `json:"by"`
	AfterLock bool        `json:"after_lock,omitempty"`
}

// Move is a cylinder's way to another dive, or (To 0) out of use. What was found
// stays behind on the dive that it came from until a leader who is not its diver
// moved it or confirmed that it is not dived there.
type Move struct {
	evidence.Moment
	From      int      `json:"from"`
	To        int      `json:"to"`
	By        PersonID `json:"by,omitempty"`
	Confirmed PersonID `json:"confirmed,omitempty"` // the leader who moved it or confirmed it
	// when it was confirmed; zero where a leader moved it
	ConfirmedAt evidence.Moment `json:"confirmed_at,omitzero"`
}

// Question is a number that is being asked about: the cylinder is not cleared
// until it is answered or taken back.
type Question struct {
	evidence.Moment
	ID      string      `json:"id"`   // the same for all cylinders that it may be meant for
	Kind    string      `json:"kind"` // QuestionRange and so on
	Percent gas.Percent `json:"percent,omitzero"`
	By      PersonID    `json:"by,omitempty"`
	Was     string      `json:"was,omitempty"` // the words, where they may say that it is another cylinder
}

// Replanned records that leader and diver planned again for the values that
// counted then. A reading further than half a point from all of them asks again.
type Replanned struct {
	evidence.Moment
	By     PersonID      `json:"by"`
	Values []gas.Percent `json:"values"`
}

// Fill is a fill or top-up: it voids all readings before it.
type Fill struct {
	evidence.Moment
	By    PersonID `json:"by,omitempty"`    // "" for the shop
	Own   bool     `json:"own,omitempty"`   // only a diver's word: the readings before stay compared
	Dated bool     `json:"dated,omitempty"` // entered later with its time
}

// Attended is an answer to "was it out of your sight, relabelled or topped up
// since?".
type Attended struct {
	evidence.Moment
	Answer string   `json:"answer"` // Kept, Unsure, OutOfSight
	By     PersonID `json:"by,omitempty"`
	Dive   int      `json:"dive,omitempty"` // the cylinder's dive then
}

// Reading is one analysis with all that is known of how it came about.
type Reading struct {
	ID      ReadingID   `json:"id"`
	Nth     int         `json:"nth"` // in the order of saying
	Percent gas.Percent `json:"percent"`
	At      time.Time   `json:"at"`                // when it was sent, by the sender's channel
	Said    time.Time   `json:"said"`              // when it was recorded, by our clock
	Taken   time.Time   `json:"taken,omitzero"`    // when the analyser showed it, where that is not At; see When
	Ref     string      `json:"ref,omitempty"`     // the channel's id of the message it came in, for edits
	By      PersonID    `json:"by,omitempty"`      // who said it; "" for the shop
	Witness PersonID    `json:"witness,omitempty"` // who watched it: a leader, crew, or whom a leader named
	// diver, witnessed, shop; other for somebody who may record nothing
	Entrant  gas.Entrant `json:"entrant"`
	Stage    gas.Stage   `json:"stage"`              // boat once the boat check of its dive was open
	Dive     int         `json:"dive"`               // the cylinder's dive when it was said
	Openings int         `json:"openings,omitempty"` // of that dive's boat check, before it was said
	Analyser string      `json:"analyser,omitempty"`
	Initials string      `json:"initials,omitempty"` // of who took it, the shop's own
	// the analyser was named afterwards: compared as if it had not been
	NamedLater bool            `json:"named_later,omitempty"`
	AirPoint   gas.Percent     `json:"air_point,omitzero"`
	Weather    gas.Weather     `json:"weather,omitzero"`     // of the analyser's air
	AirLater   bool            `json:"air_later,omitempty"`  // its air point was said afterwards, when that was asked
	WeatherWas gas.Weather     `json:"weather_was,omitzero"` // the weather known of it before that
	Altitude   float64         `json:"altitude,omitempty"`   // of its dive when it was said, metres
	Shown      gas.Shown       `json:"shown,omitempty"`
	Hurried    bool            `json:"hurried,omitempty"`
	Replaces   ReadingID       `json:"replaces,omitempty"` // the number that this one puts right
	Undone     evidence.Moment `json:"undone,omitzero"`    // taken back or corrected
	UndoneBy   PersonID        `json:"undone_by,omitempty"`
	Slip       bool            `json:"slip,omitempty"`   // taken back as a slip: not compared
	Stops      bool            `json:"stops,omitempty"`  // a no-go went with the slip, by what was planned then
	Beside     bool            `json:"beside,omitempty"` // another number within half a point counted then
	Aside      PersonID        `json:"aside,omitempty"`  // the leader who set the shop's series aside
	AsideAt    evidence.Moment `json:"aside_at,omitzero"`
	// taken back because it belongs to another cylinder, where it is this one
	MovedTo ReadingID `json:"moved_to,omitempty"`
}
