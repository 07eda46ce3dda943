package delivery

import (
	"context"
	"log/slog"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
	"gasmuster/internal/workers"
)

// Door is the one way in: it turns what came from a channel, the shop or the
// clock into an event of one trip and commits what conversation.Step makes of
// it. It is safe for concurrent use, also by many processes on one store.
//
// A newcomer finds: the path from a channel to the commit, top to bottom, in
// intake.go and owner.go; who and which trip in route.go, invites in join.go, one event's step
// in step.go, messages to addresses in envelope.go, the shop's and the clock's
// way in in shop.go, refusals in refusals.go.
type Door struct {
	cfg    DoorConfig
	owners owners
	kept   *kept
}

// DoorConfig is what a Door works with. Store, People and Invites are needed.
type DoorConfig struct {
	Store     roster.Store
	Addresses roster.Addresses
	Pages     PageEraser    // erases the chat pages of somebody who asked to be forgotten; may be nil
	Traces    roster.Traces // takes them out of what others keep; may be nil
	Invites   Invites
	Shops     ShopReader     // what their new trips begin with; nil for the default
	Hosts     roster.Hosts   // who may start trips; nil for nobody
	Limiter   roster.Limiter // how often an open invite is used; nil for no limit
	Keep      time.Duration  // a trip is erased this long after its last dive
	Evening   string         // for new trips that bring none of their own
	Quiet     string

	Now  func() time.Time                             // default time.Now
	Step func(conversation.Input) conversation.Result // default conversation.Step
	Kick func()                                       // called after a commit that left messages in the outbox
	Wait func(ctx context.Context, attempt int) error // between attempts after a conflict; default a jittered back-off
	// starts a trip's owner; default a goroutine that stays for the next
	Go    func(owner func())
	Meter Meter        // default none
	Log   *slog.Logger // default slog.Default()
}

// instant is an instant as it comes back from the store: what is kept in memory
// must equal what another process loads. Nothing is told apart by less than a
// millisecond; the order of saying is counted.
func instant(t time.Time) time.Time { return t.Truncate(time.Millisecond).UTC() }

// PageEraser is the part of a chat page store that /forget needs.
type PageEraser interface {
	Erase(ctx context.Context, trip roster.TripID, person roster.PersonID) error
}

// ShopReader finds a shop; roster.ErrNotFound for none.
type ShopReader interface {
	Shop(ctx context.Context, id roster.ShopID) (roster.Shop, error)
}

// NewDoor makes a Door.
func NewDoor(c DoorConfig) *Door {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Step == nil {
		c.Step = conversation.Step
	}
	if c.Kick == nil {
		c.Kick = func() {}
	}
	if c.Wait == nil {
		c.Wait = backOff
	}
	if c.Go == nil {
		c.Go = workers.New().Go
	}
	if c.Meter == nil {
		c.Meter = noMeter{}
	}
	if c.Log == nil {
		c.Log = slog.Default()
	}
	if c.Keep <= 0 {
		c.Keep = 30 * 24 * time.Hour
	}
	now := c.Now
	c.Now = func() time.Time { return instant(now()) }
	return &Door{cfg: c, kept: newKept()}
}
