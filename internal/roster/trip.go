package roster

import (
	"time"

	"gasmuster/internal/gas"
)

// Identifiers. A TripID is ten random characters of [a-z2-7]; persons,
// cylinders and readings are numbered within their trip ("p3", "c5", "r12"),
// so that they fit into a button.
type (
	TripID     string
	PersonID   string
	CylinderID string
	ReadingID  string
	ShopID     string
)

// Trip is everything about one charter day. It is loaded, changed by its
// methods and committed as a whole; see Store.
type Trip struct {
	ID      TripID `json:"id"`
	Schema  int    `json:"schema"`  // of the stored form, see SchemaVersion
	Version int64  `json:"version"` // counted by the store, 0 before the first commit
	Shop    ShopID `json:"shop"`

	Name      string     `json:"name"`
	Zone      string     `json:"time_zone"`  // IANA name
	Departs   time.Time  `json:"departs_at"` // the instant, UTC
	Units     gas.Unit   `json:"units"`      // chooses the pressure convention
	Dives     []Dive     `json:"dives"`
	Analysers []Analyser `json:"analysers,omitempty"`
	Air       Air        `json:"air,omitzero"` // at the dock, where the analysers are calibrated
	Policy    gas.Policy `json:"policy"`
	// PolicyWanted is a looser policy that the shop asked for after the first
	// reading; it waits for a leader's consent.
	PolicyWanted *gas.Policy `json:"policy_wanted,omitempty"`
	Evening      string      `json:"evening"` // cron expression of the evening-before message, in Zone
	Quiet        string      `json:"quiet"`   // "22:00-06:00" in Zone, "" for none
	People       []*Person   `json:"people"`
	FillLocked   time.Time   `json:"fill_locked,omitzero"`
	Announced    time.Time   `json:"announced,omitzero"` // the shop asked for the evening message at this time
	BoatOpen     time.Time   `json:"boat_open,omitzero"` // the leader opened the boat check of the current dive
	SignOffs     []SignOff   `json:"sign_offs,omitempty"`
	Queue        Queue       `json:"queue"`
	GroupChat    Address     `json:"group_chat,omitzero"` // a linked group gets counts, nothing else

	// Reminded remembers which scheduled message went to whom: key by
	// reminders, value the instant it was decided. A restart repeats nothing.
	Reminded map[string]time.Time `json:"reminded,omitempty"`

	Next int `json:"next"` // last number given to a person, cylinder or reading

	// Acts are what changed since the trip was loaded; the commit appends them
	// to the trip's log and the trip itself does not keep them.
	Acts []Act `json:"-"`

	// Known is the trip's memory of what was worked out; nobody else's business.
	// It is exported so that two trips can be compared without it.
	Known *Known `json:"-"`
}

// SchemaVersion is that of the stored form of a Trip.
//
//	1  a trip is one document
//	2  each person is stored beside the rest
//	3  the board under a signature is packed
//	4  the head is stored in parts, and what is beside the trip under other keys
const SchemaVersion = 4

// Dive is one planned dive, numbered by its place, from 1.
type Dive struct {
	Site       string    `json:"site"`
	Depth      gas.Depth `json:"depth"`
	Bottom     gas.Depth `json:"bottom,omitzero"`
	Bottomless bool      `json:"bottomless,omitempty"`
	Minutes    float64   `json:"minutes,omitempty"`
	Water      gas.Water `json:"water"`
	Altitude   float64   `json:"altitude,omitempty"` // metres
	Interval   float64   `json:"interval,omitempty"` // minutes at the surface before it
	BoatOpen   time.Time `json:"boat_open,omitzero"` // the boat check of this dive was opened; see Trip.BoatOpen
	Dived      []Dived   `json:"dived,omitempty"`    // what was dived, by the leader; the last that names a person (or nobody: all) counts
}

// Dived is what a dive turned out to be, for all or for one person.
type Dived struct {
	Person  PersonID  `json:"person,omitempty"`
	Depth   gas.Depth `json:"depth"`
	Minutes float64   `json:"minutes"`
	By      PersonID  `json:"by"`
	At      time.Time `json:"at"`
}

// Analyser is one oxygen analyser on the trip, with what it showed in fresh
// air (asked once per analyser and trip).
type Analyser struct {
	Name     string      `json:"name"`
	AirPoint gas.Percent `json:"air_point,omitzero"`
	AirBy    PersonID    `json:"air_by,omitempty"`
	AirAt    time.Time   `json:"air_at,omitzero"`
	AirAsked bool        `json:"air_asked,omitempty"`
}

// Person is a diver or leader on one trip.
type Person struct {
	ID         PersonID  `json:"id"`
	Name       string    `json:"name"`
	Leader     bool      `json:"leader,omitempty"`
	Card       gas.Card  `json:"card"`
	DepthLimit gas.Depth `json:"depth_limit,omitzero"` // of the qualification
	SetDepth   gas.Depth `json:"set_depth,omitzero"`   // set by the leader
	SetBy      PersonID  `json:"set_by,omitempty"`     // who set SetDepth, why and when
	SetWhy     string    `json:"set_why,omitempty"`
	SetAt      time.Time `json:"set_at,omitzero"`
	Team       string    `json:"team,omitempty"`
	Language   string    `json:"language,omitempty"` // BCP 47, "" until known
	Units      string    `json:"units,omitempty"`    // "m", "ft" or "" for the trip's

	Addresses  []Address `json:"addresses,omitempty"` // where this person can be written to; the last is tried first
	Generation int       `json:"generation"`          // of the invite; counting it up revokes links
	Joined     time.Time `json:"joined,omitzero"`
	// OnlyTrip says that this trip is the only one that the person's accounts
	// are on, so that what they write need not be looked up elsewhere. It is set
	// at joining; whoever joins another trip takes it back first, by a commit
	// that every process with an older version of this trip runs into.
	OnlyTrip bool      `json:"only_trip,omitempty"`
	Left     time.Time `json:"left,omitzero"` // left, forgot or was removed before sign-off; stays on the board until sat out
	Out      *Out      `json:"out,omitempty"`
	Erased   bool      `json:"erased,omitempty"`
	// Unreachable says why the last message could not be delivered; "" when it could.
	Unreachable string      `json:"unreachable,omitempty"`
	BeforeAsked time.Time   `json:"before_asked,omitzero"`  // when "dived in the last 24 hours?" was asked
	DivedBefore string      `json:"dived_before,omitempty"` // "yes", "no" or "" : dived in the last 24 hours
	Analyser    string      `json:"analyser,omitempty"`     // the one this person said they use; "?" when they can't say
	Told        Told        `json:"told,omitzero"`          // the verdict this person was last told
	Noted       int         `json:"noted,omitempty"`        // how many acts of the log are this person's; see MaxActs
	Cylinders   []*Cylinder `json:"cylinders,omitempty"`
}

// Told is the verdict a person was last told, to tell them when it changes.
type Told struct {
	Status   gas.Status `json:"status"`
	MaxDepth gas.Depth  `json:"max_depth,omitzero"`
	// MaxMinutes is the time limit said, 0 for none.
	MaxMinutes float64   `json:"max_minutes,omitzero"`
	At         time.Time `json:"at,omitzero"`
}

// Out is a sit-out, decided by a leader.
type Out struct {
	By     PersonID  `json:"by"`
	At     time.Time `json:"at"`
	Reason string    `json:"reason"`
}

// Address is one way to reach a person: channel "telegram" with a chat id, or
// "web" with the page of this trip and person.
type Address struct {
	Channel string `json:"channel"`
	ID      string `json:"id"`
}

// Cylinder is one cylinder of one person for one dive, with the whole history
// of its readings.
type Cylinder struct {
	ID        CylinderID  `json:"id"`
	Label     string      `json:"label,omitempty"` // unique in the trip; given by the diver at the dock or at booking
	Asked     gas.Percent `json:"asked,omitzero"`
	Dive      int         `json:"dive"`
	Size      string      `json:"size,omitempty"`
	Owner     string      `json:"owner,omitempty"` // "shop", "diver"
	Fills     []Fill      `json:"fills,omitempty"`
	Readings  []*Reading  `json:"readings,omitempty"` // in the order they came
	Attended  Attended    `json:"attended,omitzero"`
	CO        *Monoxide   `json:"co,omitempty"` // measured last, nil when never
	Replanned *Replanned  `json:"replanned,omitempty"`
	Changed   []Asked     `json:"changed,omitempty"` // earlier requests
	Added     time.Time   `json:"added,omitzero"`    // when it was put on the trip, after the trip itself
	Retired   time.Time   `json:"retired,omitzero"`  // changed for another cylinder; kept for the record
}

// Asked is an earlier request for a blend, with who changed it.
type Asked struct {
	Was       gas.Percent `json:"was"`
	By        PersonID    `json:"by"`
	At        time.Time   `json:"at"`
	AfterLock bool        `json:"after_lock,omitempty"`
}

// Replanned records that diver and leader planned again with the measured value.
type Replanned struct {
	By PersonID  `json:"by"`
	At time.Time `json:"at"`
}

// Fill is a fill or top-up: it voids all readings before it.
type Fill struct {
	At time.Time `json:"at"`
	By PersonID  `json:"by,omitempty"` // "" for the shop
}

// Attended is the answer to "was it out of your sight, relabelled or topped
// up since?", asked when the boat check opens.
type Attended struct {
	Answer string    `json:"answer,omitempty"` // "kept", "unsure", "out-of-sight"
	At     time.Time `json:"at,omitzero"`
	Dive   int       `json:"dive,omitempty"` // the dive whose boat check asked
}

// Reading is one analysis with all that is known of how it came about.
type Reading struct {
	ID         ReadingID   `json:"id"`
	Percent    gas.Percent `json:"percent"`
	At         time.Time   `json:"at"`            // when it was sent, by the sender's channel
	Ref        string      `json:"ref,omitempty"` // the channel's id of the message it came in, for edits
	By         PersonID    `json:"by,omitempty"`  // who entered it; "" for the shop
	Entrant    gas.Entrant `json:"entrant"`
	Stage      gas.Stage   `json:"stage"`
	Dive       int         `json:"dive"` // the current dive when it was taken
	Analyser   string      `json:"analyser,omitempty"`
	AirPoint   gas.Percent `json:"air_point,omitzero"`
	Shown      gas.Shown   `json:"shown,omitempty"`
	Hurried    bool        `json:"hurried,omitempty"`
	Calibrated bool        `json:"calibrated,omitempty"`
	Replaces   ReadingID   `json:"replaces,omitempty"` // this is a correction of that one
	Undone     time.Time   `json:"undone,omitzero"`    // taken back or corrected
	UndoneBy   PersonID    `json:"undone_by,omitempty"`
	// ReplacedBy is the reading that stands in the place of one taken back: its
	// correction, or the reading that counted when it was taken back.
	ReplacedBy ReadingID `json:"replaced_by,omitempty"`
	MovedTo    ReadingID `json:"moved_to,omitempty"` // taken back because it belongs to another cylinder, where it is this one
	Taken      time.Time `json:"taken,omitzero"`     // when it was recorded, by our clock; a correction keeps that of its first value
	Void       time.Time `json:"void,omitzero"`      // of the fill that voided it
}

// Queue is whose turn it is at an analyser.
type Queue struct {
	Waiting []PersonID      `json:"waiting,omitempty"` // in order, first is next
	Serving map[string]Turn `json:"serving,omitempty"` // by analyser
}

// Turn is one person at one analyser since an instant; passed on after five minutes.
type Turn struct {
	Person PersonID  `json:"person"`
	Since  time.Time `json:"since"`
}

// SignOff is a leader's signature under one dive, with the board as it was.
// A sign-off that was reopened stays in the record.
type SignOff struct {
	Dive     int       `json:"dive"`
	By       PersonID  `json:"by"`
	At       time.Time `json:"at"`
	Board    Board     `json:"board"`
	Reopened *Reopened `json:"reopened,omitempty"`
}

// Reopened says who reopened a signed dive, when and why.
type Reopened struct {
	By     PersonID  `json:"by,omitempty"`
	At     time.Time `json:"at"`
	Reason string    `json:"reason"`
}

// Act is one line of a trip's log: who did what, when and why.
type Act struct {
	At     time.Time         `json:"at"`
	By     PersonID          `json:"by,omitempty"` // "" for the shop or the clock
	Verb   string            `json:"verb"`         // "reading", "undo", "limit", "out", ...
	On     string            `json:"on,omitempty"` // person, cylinder or reading id
	Reason string            `json:"reason,omitempty"`
	Detail map[string]string `json:"detail,omitempty"`
}
