package roster

import (
	"encoding/json"
	"fmt"
	"time"

	"gasmuster/internal/evidence"
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

// Trip is everything about one charter day, as a value: what was published is
// never written again. A change goes through a Draft; see Change. Its parts are
// pointers so that two trips share what is the same in both. The fields of Plan,
// Course and Rounds are the trip's own.
type Trip struct {
	ID      TripID `json:"id"`
	Schema  int    `json:"schema"`  // of the stored form, see SchemaVersion
	Version int64  `json:"version"` // counted by the store, 0 before the first commit
	Shop    ShopID `json:"shop"`

	*Plan
	*Course
	*Rounds
	Queue  *Queue    `json:"queue"`
	Gate   *Gate     `json:"gate"`
	People []*Person `json:"people"`
	Next   int       `json:"next"` // last number given to a person, a cylinder or something said: the order of saying

	// Stored is what the store knows of this value, for the commit that follows it.
	Stored Stored `json:"-"`

	known known // what was worked out of it
}

// NewTrip is an empty trip of a shop, to be filled in and stored.
func NewTrip(id TripID, shop ShopID) *Trip {
	return &Trip{ID: id, Schema: SchemaVersion, Shop: shop,
		Plan: new(Plan), Course: new(Course), Rounds: new(Rounds), Queue: new(Queue),
		Gate: new(Gate)}
}

// Plan is what was planned.
type Plan struct {
	Name           string    `json:"name"`
	Zone           string    `json:"time_zone"`                  // IANA name
	Departs        time.Time `json:"departs_at"`                 // the instant, UTC
	FirstDiveAfter float64   `json:"first_dive_after,omitempty"` // minutes from the departure to dive 1
	// the instant, UTC; zero for the usual time before departure
	CylindersReady time.Time  `json:"cylinders_ready_at,omitzero"`
	Units          gas.Unit   `json:"units"` // chooses the pressure convention
	Dives          []Dive     `json:"dives"`
	Analysers      []Analyser `json:"analysers,omitempty"`
	Air            Air        `json:"air,omitzero"` // the weather said last
	Policy         gas.Policy `json:"policy"`
	Wanted         Wanted     `json:"wanted,omitzero"` // waits for a leader's consent
	Teams          []Limit    `json:"team_limits,omitempty"`
	Ref            string     `json:"external_ref,omitempty"` // what the shop's own system calls it
	Evening        string     `json:"evening"`                // cron expression of the evening-before message, in Zone
	Quiet          string     `json:"quiet"`                  // "22:00-06:00" in Zone, "" for none
}

// Wanted is what the shop changed after the first reading and what would make
// somebody's clearance greener: it waits until a leader consents.
type Wanted struct {
	Policy *gas.Policy  `json:"policy,omitempty"`
	Starts *Starting    `json:"starts,omitempty"`
	Dives  []WantedDive `json:"dives,omitempty"`
}

// Starting is when a day begins.
type Starting struct {
	Departs        time.Time `json:"departs_at"`
	FirstDiveAfter float64   `json:"first_dive_after,omitempty"` // minutes
}

// WantedDive is the plan of one dive that waits for consent.
type WantedDive struct {
	Dive int  `json:"dive"`
	Plan Dive `json:"plan"`
}

// Course is how far the day has come.
type Course struct {
	FillLocked time.Time   `json:"fill_locked,omitzero"`
	Announced  time.Time   `json:"announced,omitzero"` // the shop asked for the evening message at this time
	Ready      time.Time   `json:"ready,omitzero"`     // the shop said at this time that the cylinders are ready
	SignOffs   []SignOff   `json:"sign_offs,omitempty"`
	Kept       []KeptBoard `json:"kept,omitempty"`      // of dives that were dived
	GroupChat  Address     `json:"group_chat,omitzero"` // a linked group gets counts, nothing else
	CalledOff  *CalledOff  `json:"called_off,omitempty"`
	TakingOver *TakingOver `json:"taking_over,omitempty"`
	Untold     *Untold     `json:"untold,omitempty"`
}

// KeptBoard is the board of a dive as it was when it was dived.
type KeptBoard struct {
	Dive  int         `json:"dive"`
	Board SignedBoard `json:"board"`
}

// Rounds are the scheduled messages that were decided.
type Rounds struct {
	// Reminded remembers which scheduled message went to whom: key by
	// reminders, value the instant it was decided. A restart repeats nothing.
	Reminded Reminded `json:"reminded,omitempty"`
}

// Reminded are instants by keys. It is stored packed, as the board under a
// signature is: the keys of one evening are much the same.
type Reminded map[string]time.Time

// MarshalJSON is the stored form.
func (r Reminded) MarshalJSON() ([]byte, error) { return json.Marshal(pack(map[string]time.Time(r))) }

// UnmarshalJSON reads the stored form.
func (r *Reminded) UnmarshalJSON(b []byte) error {
	var packed []byte
	if err := json.Unmarshal(b, &packed); err != nil {
		return fmt.Errorf("what was reminded is not packed: %w", err)
	}
	if err := unpack(packed, (*map[string]time.Time)(r)); err != nil {
		return fmt.Errorf("what was reminded can't be read: %w", err)
	}
	return nil
}

// Stored is what the store knows of a trip as it was loaded or committed. Its
// zero value is a trip that was never stored.
type Stored struct {
	Token        string    // of the commit that wrote it
	Wake, Expire time.Time // as committed; zero when not known
}

// SchemaVersion is that of the stored form of a Trip. Another one is refused. Form 1
// is frozen: what it left in a store reads as it did (TestForm1Loads in delivery).
const SchemaVersion = 1

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
	Agreed     float64   `json:"agreed,omitempty"`   // the interval of before, where the shop alone made it shorter
	Boat       []Opening `json:"boat,omitempty"`     // the boat check of this dive was opened, and opened again
	// what was dived; the last that names a person (or nobody: all) counts
	Dived   []Dived  `json:"dived,omitempty"`
	Outcome *Outcome `json:"outcome,omitempty"` // a leader's word whether it was dived, nil until then
}

// Opening is the moment at which a boat check was opened.
type Opening struct {
	evidence.Moment
	By    PersonID  `json:"by"`
	Start time.Time `json:"start"` // the planned start of the dive as it was then
}

// Outcome is a leader's word whether a dive was dived. Taking it back removes it.
type Outcome struct {
	evidence.Moment
	By       PersonID   `json:"by"`
	NotDived bool       `json:"not_dived,omitempty"`
	Began    time.Time  `json:"began,omitzero"` // when it began at the latest: its planned start then, or the answer
	Ended    time.Time  `json:"ended,omitzero"` // when it ended at the latest
	Start    time.Time  `json:"start,omitzero"` // planned then
	Up       time.Time  `json:"up,omitzero"`    // when the last diver was up, as a leader said
	Out      []PersonID `json:"out,omitempty"`  // who sat it out when it began
	// Of the policy as it was then.
	FreshFor  float64       `json:"fresh_for_hours,omitempty"`
	BoatCheck gas.BoatCheck `json:"boat_check,omitempty"`
}

// Dived is what a dive turned out to be, for all or for one person. A zero
// depth or time is as planned.
type Dived struct {
	Person  PersonID  `json:"person,omitempty"`
	Depth   gas.Depth `json:"depth,omitzero"`
	Minutes float64   `json:"minutes,omitempty"`
	By      PersonID  `json:"by"`
	At      time.Time `json:"at"`
}

// Analyser is one oxygen analyser on the trip, with what it showed in air.
type Analyser struct {
	Name      string     `json:"name"`
	AirPoints []AirPoint `json:"air_points,omitempty"` // in the order of saying
	AirAsked  bool       `json:"air_asked,omitempty"`  // somebody was asked, and may not have known
}

// AirPoint is what an analyser showed in air.
type AirPoint struct {
	evidence.Moment
	Percent gas.Percent `json:"percent"`
	By      PersonID    `json:"by,omitempty"`
	Weather gas.Weather `json:"weather,omitzero"` // as known then
}

// Person is somebody on one trip: diver, leader or crew.
type Person struct {
	ID         PersonID  `json:"id"`
	Name       string    `json:"name"`
	Leader     bool      `json:"leader,omitempty"`
	Crew       bool      `json:"crew,omitempty"`
	Diver      bool      `json:"diver,omitempty"` // set down as diver; a leader or crew member with a cylinder dives too
	Card       gas.Card  `json:"card"`
	DepthLimit gas.Depth `json:"depth_limit,omitzero"` // of the qualification
	Limits     []Limit   `json:"limits,omitempty"`     // a leader's, for this person
	Held       []Limit   `json:"held,omitempty"`       // of teams, which this person loosened themself as leader
	// teams that this person was taken out of without a leader: their limits hold on
	Former   []string `json:"former,omitempty"`
	Outs     []Out    `json:"outs,omitempty"`
	Outsides []Out    `json:"outsides,omitempty"` // what this check does not cover
	Speak    []Speak  `json:"speak,omitempty"`    // what a leader has to settle, the oldest first
	Team     string   `json:"team,omitempty"`
	Language string   `json:"language,omitempty"` // BCP 47, "" until known
	Units    string   `json:"units,omitempty"`    // "m", "ft" or "" for the trip's

	Addresses  []Address `json:"addresses,omitempty"` // where this person can be written to; the last is tried first
	Generation int       `json:"generation"`          // of the invite; counting it up revokes links
	Joined     time.Time `json:"joined,omitzero"`
	// OnlyTrip says that this trip is the only one that the person's accounts
	// are on, so that what they write need not be looked up elsewhere. It is set
	// at joining; whoever joins another trip takes it back first, by a commit
	// that every process with an older version of this trip runs into.
	OnlyTrip bool      `json:"only_trip,omitempty"`
	Left     time.Time `json:"left,omitzero"` // left, forgot or was removed; stays on the board until sat out
	Erased   bool      `json:"erased,omitempty"`
	// Unreachable says why the last message could not be delivered; "" when it could.
	Unreachable string      `json:"unreachable,omitempty"`
	BeforeAsked time.Time   `json:"before_asked,omitzero"`  // when "dived in the last 24 hours?" was asked
	DivedBefore string      `json:"dived_before,omitempty"` // "yes", "no" or "": dived in the last 24 hours; a yes stays
	Analyser    string      `json:"analyser,omitempty"`     // the one this person said they use; "?" when they can't say
	Told        []Told      `json:"told,omitempty"`         // the clearances that this person was last told, by dive
	Noted       int         `json:"noted,omitempty"`        // how many acts of the log are this person's; see MaxActs
	Cylinders   []*Cylinder `json:"cylinders,omitempty"`
}

// Limit is a leader's limit for a person or a team: a depth, minutes or both.
// Dive 0 is every dive. A zero depth or time limits nothing.
type Limit struct {
	Team    string    `json:"team,omitempty"`
	Dive    int       `json:"dive,omitempty"`
	Depth   gas.Depth `json:"depth,omitzero"`
	Minutes float64   `json:"minutes,omitempty"`
	By      PersonID  `json:"by"`
	Why     string    `json:"why,omitempty"`
	At      time.Time `json:"at"`
}

// Speak is that a diver named helium or a closed circuit, or said words of alarm:
// not cleared until somebody sets them outside, or a leader says that it is all
// right. Each is settled by itself.
type Speak struct {
	ID   string    `json:"id"` // which one a leader settles
	At   time.Time `json:"at"`
	Was  string    `json:"was,omitempty"` // what they said
	Kind SpeakKind `json:"kind"`
	By   PersonID  `json:"by,omitempty"` // who said it of them, "" for themself
}

// SpeakKind is what somebody said that a leader has to settle.
type SpeakKind string

// What people say. That there is no card at hand is settled by seeing it.
const (
	SpeakHelium        SpeakKind = "helium" // also a closed circuit
	SpeakDistress      SpeakKind = "distress"
	SpeakLeak          SpeakKind = "leak"
	SpeakBadGas        SpeakKind = "bad-gas"
	SpeakWrongCylinder SpeakKind = "wrong-cylinder"
	SpeakNoCard        SpeakKind = "no-card"
	SpeakNotAnalysed   SpeakKind = "not-analysed" // guessed, or by somebody else
)

// Told is the clearance of one dive that a person was last told, to tell them
// when it changes.
type Told struct {
	Dive     int        `json:"dive"`
	Status   gas.Status `json:"status"`
	MaxDepth gas.Depth  `json:"max_depth,omitzero"`
	// MaxMinutes is the time limit said, 0 for none.
	MaxMinutes float64   `json:"max_minutes,omitzero"`
	At         time.Time `json:"at,omitzero"`
}

// Out is that a person sits out or is outside this check, for one dive or (0)
// the trip, with who decided it.
type Out struct {
	Dive   int       `json:"dive,omitempty"`
	By     PersonID  `json:"by,omitempty"` // "" for the shop
	At     time.Time `json:"at"`
	Reason string    `json:"reason"`
}

// Address is one way to reach a person: channel "telegram" with a chat id, or
// "web" with the page of this trip and person.
type Address struct {
	Channel string `json:"channel"`
	ID      string `json:"id"`
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

// Act is one line of a trip's log: who did what, when and why.
type Act struct {
	At     time.Time         `json:"t"`
	By     PersonID          `json:"b,omitempty"` // "" for the shop or the clock
	Verb   string            `json:"v"`           // "reading", "undo", "limit", "out", ...
	On     string            `json:"o,omitempty"` // person, cylinder or reading id
	Reason string            `json:"r,omitempty"`
	Detail map[string]string `json:"d,omitempty"`
}
