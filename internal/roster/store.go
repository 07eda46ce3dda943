package roster

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"gasmuster/internal/gas"
)

// The store's domain errors. Everything else a store returns is a fault of the
// store (down, slow, full): nothing was recorded, or it is not known whether it was.
var (
	ErrNotFound  = errors.New("not found")
	ErrConflict  = errors.New("changed meanwhile") // another commit came first: load and step again
	ErrDuplicate = errors.New("already handled")   // this source id was committed before
)

// DuplicateError is ErrDuplicate with the source id that was committed before.
type DuplicateError struct{ Source string }

func (e DuplicateError) Error() string { return ErrDuplicate.Error() + ": " + e.Source }

// Is makes it an ErrDuplicate.
func (e DuplicateError) Is(err error) bool { return err == ErrDuplicate }

// Envelope is one outgoing message as the store keeps it. Messages of one
// address leave in the order of their commits; what is more urgent passes one
// that was put back. Each is written for each message, so that names are short.
type Envelope struct {
	ID       string          `json:"id"` // unique and stable over retries
	Trip     TripID          `json:"trip"`
	Person   PersonID        `json:"p,omitempty"` // "" for a group chat
	Address  Address         `json:"address"`
	Level    Level           `json:"n,omitempty"`
	Safety   bool            `json:"s,omitempty"` // repeat rather than lose it when the outcome of a send is not known
	Expires  time.Time       `json:"x,omitzero"`  // dropped, not sent, after this
	Language string          `json:"l,omitempty"` // the reader's
	Units    string          `json:"u,omitempty"`
	Payload  json.RawMessage `json:"payload"` // a message.Message
	Attempts int             `json:"attempts,omitempty"`
	Unsure   bool            `json:"unsure,omitempty"` // an earlier attempt may have arrived
}

// Commit is all that one event changes, written at once or not at all.
type Commit struct {
	// the value that was changed, as it was loaded or committed; nil, or one that was never stored, creates the trip
	Was      *Trip
	Trip     *Trip                        // the new value; what is the same pointer in both is not written again
	Acts     []Act                        // what was done, for the log
	Sessions map[PersonID]json.RawMessage // dialogue states to set; nil value removes
	Out      []Envelope
	Drop     []Address // what waits for these on this trip is not sent any more
	Wake     time.Time // the trip's next wake-up; zero for none
	// ids of the events, for dedupe; kept 48 h, of a flood the newest thousands; none is empty or holds a line break
	Sources []string
	// required: the caller's, one word, unique for this attempt: a repeated write recognises itself
	Token  string
	Events []json.RawMessage // for the shop's systems, in order
	Expire time.Time         // when trip and everything about it is erased
}

// Loaded is a trip with its people's dialogue states, of those who have one.
// Seen says that the source id was committed before.
type Loaded struct {
	Trip     *Trip
	Sessions map[PersonID]json.RawMessage
	Seen     bool
}

// Store keeps trips. Every method is safe for concurrent use by many processes.
type Store interface {
	// Load returns ErrNotFound for an unknown or erased trip. source may be "".
	Load(ctx context.Context, id TripID, source string) (Loaded, error)
	// Commit writes everything or nothing and returns the trip as it is stored
	// now: c.Trip with its new version. It does so also when a write with the same
	// Token was applied before and is among the trip's last eight, since a
	// repetition comes within seconds. ErrConflict when what is stored is not
	// c.Was; a DuplicateError when any of Sources was committed with another
	// Token, whatever the version. After any other error it is not known whether
	// it was written: the same Commit may be tried again.
	Commit(ctx context.Context, c Commit) (*Trip, error)
	// Log returns the trip's acts, oldest first.
	Log(ctx context.Context, id TripID) ([]Act, error)
	// List returns the ids of a shop's trips departing in [from, to), by
	// departure; a zero time leaves that side open.
	List(ctx context.Context, shop ShopID, from, to time.Time) ([]TripID, error)
	// Due returns trips whose wake-up is due at now, at most max, the earliest first.
	Due(ctx context.Context, now time.Time, max int) ([]TripID, error)
	// Ping tells whether the store can be reached and written.
	Ping(ctx context.Context) error
}

// Route is an address's own record: which trips it is on, and preferences.
type Route struct {
	Trips    []Seat // trips this address joined, in the order of joining
	Current  TripID // chosen by the person, "" when not
	Claimed  TripID // the trip this source was bound to by an earlier delivery, "" when none
	Language string
	Units    string
	Host     HostSeat        // the host that this account is, the zero value for none
	Talk     json.RawMessage // of an open dialogue beside any trip, nil for none
}

// TalkLife is how long a dialogue beside any trip waits for its next answer.
const TalkLife = 2 * time.Hour

// Seat is one person's place on one trip.
type Seat struct {
	Trip    TripID    `json:"trip"`
	Person  PersonID  `json:"person"`
	Departs time.Time `json:"departs"` // as known when joined or last changed; to choose among trips
	// when the trip is erased and the seat with it; zero: the store's own time after departure
	Expires time.Time `json:"expires,omitzero"`
}

// Addresses keeps what belongs to an address across trips.
type Addresses interface {
	// Route reads an address's record and any earlier claim of source.
	Route(ctx context.Context, a Address, source string) (Route, error)
	// Claim binds source (an update or message id) to a trip for 48 h; the
	// first claim wins and is returned.
	Claim(ctx context.Context, a Address, source string, trip TripID) (TripID, error)
	// Seat seats an address on a trip, or renews its seat there, which keeps
	// its place in the order of joining.
	Seat(ctx context.Context, a Address, s Seat) error
	// Unseat takes an address off a trip.
	Unseat(ctx context.Context, a Address, trip TripID) error
	// Prefer stores the current trip, language or units; "" leaves one as it is.
	Prefer(ctx context.Context, a Address, current TripID, language, units string) error
	// Talk keeps the state of a dialogue beside any trip, for TalkLife; nil ends it.
	Talk(ctx context.Context, a Address, state json.RawMessage) error
	// Hosts makes an account a host's.
	Hosts(ctx context.Context, a Address, seat HostSeat) error
	// Forget erases the whole record, claims included.
	Forget(ctx context.Context, a Address) error
	// Migrate moves a record to a new id (a chat that became a supergroup);
	// what the new one holds already stays.
	Migrate(ctx context.Context, from, to Address) error
}

// Claimed is an envelope taken for sending under a lease.
type Claimed struct {
	Envelope
	Token string // of the lease; a stale worker's outcome is refused
	Fault string // why what is stored of it can't be read, "" when it can
}

// Outbox is the door out's store.
type Outbox interface {
	// Claim takes up to max heads of queues that are ready at now and not
	// leased, the most urgent first, then the longest waiting. A queue is all
	// messages of one trip to one address, and as urgent as its most urgent one.
	// A lease that ran out makes its head ready again with Unsure set. What the
	// caller still has in hand itself is left to it, whatever the clock says: held
	// (nil for nothing) tells of a queue whether it does. Each claim of a message
	// counts up its Attempts.
	Claim(ctx context.Context, token string, now time.Time, lease time.Duration, max int,
		held func(TripID, Address) bool) ([]Claimed, error)
	// Sent removes the head. ErrConflict when the message still waits and the
	// lease is no longer ours; a message that waits no more (an answer was lost,
	// or it was dropped) is done with.
	Sent(ctx context.Context, c Claimed) error
	// Later puts the head back until t, with c.Attempts. What is more urgent, and
	// waits or comes meanwhile, passes it and needn't wait for t. ErrConflict as in
	// Sent.
	Later(ctx context.Context, c Claimed, t time.Time, unsure bool) error
	// Dead moves the head to the trip's dead letters with the reason.
	// ErrConflict as in Sent.
	Dead(ctx context.Context, c Claimed, reason string, at time.Time) error
	// DeadLetters lists a trip's dead letters, oldest first.
	DeadLetters(ctx context.Context, id TripID) ([]DeadLetter, error)
	// Depth counts waiting envelopes, those being sent included, for metrics.
	Depth(ctx context.Context) (int, error)
}

// DeadLetter is a message that will never be sent.
type DeadLetter struct {
	Envelope
	Reason string    `json:"reason"`
	At     time.Time `json:"at"`
}

// Entry is one line of a person's chat page.
type Entry struct {
	ID      string          `json:"id"` // the envelope's or the client's message id; appended once
	At      time.Time       `json:"at"`
	Own     bool            `json:"own,omitempty"`     // typed by the person
	Text    string          `json:"text,omitempty"`    // own entries
	Payload json.RawMessage `json:"payload,omitempty"` // a message.Message otherwise
}

// Chats keeps the history of chat pages (channel "web").
type Chats interface {
	// Append adds an entry; one with the same id again changes nothing.
	// ErrNotFound when the trip is gone, and its pages with it.
	Append(ctx context.Context, trip TripID, person PersonID, e Entry) error
	// Read returns entries after the one with id after ("" or unknown: all),
	// oldest first.
	Read(ctx context.Context, trip TripID, person PersonID, after string) ([]Entry, error)
}

// Shop is a tenant with a key, of which only the hash is kept.
type Shop struct {
	ID      ShopID    `json:"id"`
	Name    string    `json:"name"`
	KeyHash string    `json:"key_hash"` // hex SHA-256 of the key
	Created time.Time `json:"created"`
	// Policy is what new trips of the shop begin with where they say nothing; nil for the
	// default. Its deepest depth is in the unit that the shop chose.
	Policy *gas.Policy `json:"policy,omitempty"`
}

// Shops keeps the shops of a deployment and idempotency keys.
type Shops interface {
	// PutShop stores a shop; a new key hash replaces its earlier one.
	// ErrConflict when the name is taken by another id.
	PutShop(ctx context.Context, s Shop) error
	// ReplaceShop stores a shop in place of the value that was read; ErrConflict when it
	// has another key by now, too.
	ReplaceShop(ctx context.Context, was, is Shop) error
	// ShopByKey returns ErrNotFound when no shop has a key with that hash.
	ShopByKey(ctx context.Context, keyHash string) (Shop, error)
	// ShopList are all shops, by name.
	ShopList(ctx context.Context) ([]Shop, error)
	// Idempotent returns the answer stored under key for 24 h, or stores the
	// claim and returns nil. body is a hash of the request; sameBody tells
	// whether the key was claimed by that one. A claim without an answer, of a
	// process that died, is claimed again.
	Idempotent(ctx context.Context, shop ShopID, key, body string) (answer []byte, sameBody bool, err error)
	// Answer stores the answer of a claimed key.
	Answer(ctx context.Context, shop ShopID, key, body string, answer []byte) error
}

// Window is a strict sliding window: at most Most in any Period. What stands before a
// slash in its bucket is the budget that it belongs to; windows of one budget can be
// asked together.
type Window struct {
	Bucket string
	Most   int
	Period time.Duration
}

// Place is one send within some windows: its slot, or how long to wait and which of the
// windows has none.
type Place struct {
	Slot string
	Wait time.Duration
	Full int
}

// Limiter shares one sending budget between processes.
type Limiter interface {
	// Take asks for one send in the strict sliding window of bucket: at most
	// limit in any period. It returns 0 and a slot to be released when the
	// response came, or how long to wait.
	Take(ctx context.Context, bucket string, limit int, period time.Duration, now time.Time) (wait time.Duration,
		slot string, err error)
	// TakeAll is Take of several windows of one budget, of all or of none, in the order
	// of need over all processes: while something more needed than level waits in
	// another, it is told to wait, though there be room. Who was told to wait has to ask
	// again, or is passed over when their wait is over.
	TakeAll(ctx context.Context, level Level, windows []Window, now time.Time) (Place, error)
	// Release makes the slot free one period from now, when the response came.
	// A slot never released becomes free a minute after its period.
	Release(ctx context.Context, bucket, slot string, period time.Duration, now time.Time) error
	// ReleaseAll is Release in each of the windows that TakeAll was asked for.
	ReleaseAll(ctx context.Context, windows []Window, slot string, now time.Time) error
	// Pause stops a bucket until t (429); it never shortens a pause.
	Pause(ctx context.Context, bucket string, until time.Time) error
}
