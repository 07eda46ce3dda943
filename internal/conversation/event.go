// Package conversation is the dialogue with divers and leaders as a pure state
// machine: no I/O, no clock of its own, nothing that waits.
//
//	Step(Input{Trip, Session, Event, Now}) -> Result{Trip, Session, Letters, Wake, ...}
//
// Step leaves the trip it is given as it is, and returns the one that is to be
// committed with everything else. What people
// typed is understood in package reply, what is said is built in package
// message, whom to remind is decided in package reminders.
//
// A newcomer finds: the tables of commands, buttons and states in step.go; the
// vocabulary of one turn in turn.go; diver_*.go and leader_*.go hold one
// subject each.
package conversation

import (
	"encoding/json"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Kind is what happened.
type Kind string

// The kinds of events. Every (state, kind) pair has a visible answer.
const (
	Join      Kind = "join"    // an address opened a valid invite of Person
	Text      Kind = "text"    // Person typed Text (a command when it starts with "/")
	Edited    Kind = "edited"  // Person changed an earlier message (Ref) to Text
	Button    Kind = "button"  // Person pressed a button that carried Do
	Timer     Kind = "timer"   // the trip's wake-up is due
	Changed   Kind = "changed" // the shop changed the trip
	Lost      Kind = "lost"    // a message to Person can't be delivered, for Reason
	Found     Kind = "found"   // Person can be reached again
	Forget    Kind = "forget"  // Person asked to be erased, on every trip
	GroupText Kind = "group"   // Person (a leader or diver of this trip) typed Text in a group chat, Address
	Moved     Kind = "moved"   // a linked group chat got a new Address
	Knock     Kind = "knock"   // Newcomer waits at the open invite
)

// Event is one thing that happened to one trip.
type Event struct {
	Kind     Kind
	Source   string          // unique id for dedupe
	Ref      string          // the channel's id of the message, "" for none; readings remember it for later edits
	Person   roster.PersonID // who acts; "" for the clock and the shop
	Address  roster.Address  // where it came from
	At       time.Time       // the sender's clock; for display and the 15-second rule, never for deadlines
	Text     string
	Do       string
	Language string // the channel's hint, BCP 47
	Reason   string
	AnyTrip  bool // Text may as well be for another trip of Person
	Change   *Change
	Photo    string           // the channel's id of a photo that came with Text, which may be empty
	Newcomer string           // of Knock: the id of who waits
	Erasing  roster.Redaction // of Forget: takes the name out of what is kept of the letters
}

// Change is what a shop asks of a trip; nil or zero fields leave a thing as it
// is. It was validated against the trip it is applied to.
type Change struct {
	Name    *string
	Departs *time.Time
	// FirstDiveAfter is the minutes from the departure to the first dive.
	FirstDiveAfter *float64
	Dives          []roster.Dive
	Policy         *gas.Policy
	Zone           *string
	Units          *gas.Unit // before the first reading: what the numbers were meant in
	Analysers      *[]string
	Add            []*roster.Person
	Update         []PersonChange
	Remove         []roster.PersonID
	Lock           bool                // lock the fill list
	CylindersReady *time.Time          // planned: when the cylinders can be analysed; zero for the usual time
	Ready          bool                // the cylinders can be analysed from now on
	Announce       bool                // send the evening-before message now
	Filled         []roster.CylinderID // filled or topped up at FilledAt
	FilledAt       time.Time
	Reading        *ShopReading
	Undo           roster.ReadingID  // takes the shop's own analysis back
	Revoke         []roster.PersonID // count the invite's generation up
	Broadcast      string            // a message to all divers
	Gate           *bool             // opens the open invite anew, or shuts it
	CallOff        *string           // the trip does not take place, for this reason
	PutOn          bool              // it takes place after all
	Unheard        bool              // the shop's systems can't be told of events any more: leaders should know
}

// PersonChange changes a booked person; nil leaves a field as it is.
type PersonChange struct {
	Person     roster.PersonID
	Name       *string
	Card       *gas.Card
	DepthLimit *gas.Depth
	Team       *string
	Leader     *bool
	Crew       *bool
	Outside    *string // why this check does not cover them; "" takes it back
	Language   *string
	Units      *string
	Cylinders  []*roster.Cylinder // replaces requests; cylinders with an ID keep their readings
}

// ShopReading is a shop's own analysis of a cylinder.
type ShopReading struct {
	Cylinder roster.CylinderID
	Percent  gas.Percent
	Analyser string
	Initials string // of who analysed it
	At       time.Time
}

// Session is where one person is in the dialogue on one trip. Its zero value
// is "nothing asked".
type Session struct {
	State State           `json:"state,omitempty"`
	Data  json.RawMessage `json:"data,omitempty"` // of the state, see the state's file
	Since time.Time       `json:"since,omitzero"` // when the question was put
	// Offered are the buttons of the question, for who types what stands on them.
	Offered []offered `json:"offered,omitempty"`
	// Doubted is the hash of words that may be no reason: the same again are one.
	Doubted uint32 `json:"doubted,omitempty"`
}

// State names what the bot has asked and waits for.
type State string

// Idle is the state in which nothing is asked.
const Idle State = ""

// Input is all that Step may look at.
type Input struct {
	Trip    *roster.Trip
	Session Session // of Event.Person
	Event   Event
	Now     time.Time
	Trips   int         // how many trips this person is on, this one included
	Others  []OtherTrip // the person's other trips, nearest departure first
}

// OtherTrip is another trip of the same person, to switch to.
type OtherTrip struct {
	ID      roster.TripID
	Name    string
	Departs time.Time
	Zone    string
}

// Letter is one message to one person or to the linked group chat.
type Letter struct {
	Person roster.PersonID // "" with Group
	Group  bool
	// Outsider is somebody who is not on the trip, in the place of Person, and
	// Language theirs.
	Outsider roster.Address
	Language string
	Message  message.Message
	Level    roster.Level
	Safety   bool      // repeat rather than lose when the outcome of sending is unknown
	Expires  time.Time // not sent after this; zero for never
}

// Result is what Step wants committed together with the trip.
type Result struct {
	Trip     *roster.Trip // the trip after the event
	Acts     []roster.Act // what was done, for its log
	Session  Session
	Letters  []Letter
	Wake     time.Time // the trip's next wake-up
	Happened []Happening
	// Prefer are choices that follow the person to other trips.
	PreferLanguage, PreferUnits string
}
