package delivery

import (
	"context"
	"errors"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/conversation/newcomer"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Somebody opened a trip's open invite. They are asked who they are beside the trip,
// which changes nothing of it; what they said in the end is one commit, of which
// there is a bounded number for each place and each trip.

// Opened judges the code of an open invite and returns its trip. It fails with
// ErrInviteWrong, ErrInviteGone or ErrInviteRevoked.
func (d *Door) Opened(ctx context.Context, code string) (*roster.Trip, error) {
	id, ok := splitCode(code, openPrefix)
	if !ok {
		return nil, ErrInviteWrong
	}
	l, err := d.cfg.Store.Load(ctx, roster.TripID(id), "")
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return nil, ErrInviteWrong
	case err != nil:
		return nil, err
	}
	t := l.Trip
	if err := verify(code, t.Gate.Generation, func(g int) string { return d.cfg.Invites.OpenCode(t.ID, g) }); err != nil {
		return nil, err
	}
	if !t.GateOpen(d.cfg.Now()) {
		return nil, ErrInviteGone
	}
	return t, nil
}

// joinOpen opens an open invite in the chat.
func (d *Door) joinOpen(ctx context.Context, in Inbound, code string) (*Reply, error) {
	t, err := d.Opened(ctx, code)
	if err != nil {
		return nil, err
	}
	if personAt(t, in.From) != nil {
		in.Kind, in.Text, in.Trip = conversation.Join, "", t.ID
		return d.act(ctx, in) // welcome back
	}
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return nil, err
	}
	for _, seat := range personal(route.Trips) { // what is typed next is no talk on those
		if err := d.notOnly(ctx, seat, in.From); err != nil {
			return nil, err
		}
	}
	f := newcomer.Form{Trip: t.ID, Generation: t.Gate.Generation}
	m, _ := f.Next(t, in.Name)
	return d.keep(ctx, in, talk{Join: &f}, m)
}

// joinOn goes on asking who somebody is.
func (d *Door) joinOn(ctx context.Context, in Inbound, k talk) (*Reply, error) {
	f := k.Join
	t, err := d.Opened(ctx, d.cfg.Invites.OpenCode(f.Trip, f.Generation))
	if err != nil {
		return nil, errors.Join(err, d.endTalk(ctx, in))
	}
	var problem message.Line
	switch {
	case k.Source == in.Source: // delivered again
	case in.Kind == conversation.Button:
		_, do, _ := strings.Cut(in.Do, " ")
		ok := false
		if problem, ok = f.Pressed(t, strings.Fields(do), in.Name); !ok {
			problem = message.Say("leader.question-over", nil)
		}
	default:
		problem = f.Typed(t, in.Text)
	}
	m, done := f.Next(t, in.Name)
	if !done {
		return d.keep(ctx, in, k, withProblem(problem, m))
	}
	n := f.Newcomer(t, d.cfg.Now())
	n.Address, n.Language = in.From, in.Language
	if _, err := d.Knock(ctx, t.ID, n, in.Source); err != nil {
		return nil, errors.Join(err, d.endTalk(ctx, in))
	}
	return d.keep(ctx, in, talk{Waits: t.ID}, newcomer.Waits(t, &n))
}

// labelled takes the label of a cylinder from somebody who waits.
func (d *Door) labelled(ctx context.Context, in Inbound, k talk) (*Reply, error) {
	label, problem := newcomer.Label(in.Text)
	if problem.Key != "" {
		return said(in, problem), nil
	}
	var m message.Message
	w := work{trip: k.Waits, event: conversation.Event{Kind: conversation.Changed, Source: in.Source, At: d.cfg.Now(),
		Change: &conversation.Change{}},
		prepare: func(t *roster.Draft, _ *conversation.Event) error {
			if !t.SayLabel(in.From, label) {
				return ErrInviteGone
			}
			m = newcomer.Waits(t.Trip, t.WaitsFrom(in.From))
			return nil
		}}
	if err := d.commit(ctx, w); err != nil {
		return nil, errors.Join(err, d.endTalk(ctx, in))
	}
	return d.keep(ctx, in, k, m)
}

// How many may knock within knocksIn, from one place and at one trip.
const (
	knocksIn    = 10 * time.Minute
	knocksPlace = 12
	knocksTrip  = 60
)

// ErrTooMany is that too many came to a trip's open invite just now.
var ErrTooMany = errors.New("too many at the open invite")

// Knock lets somebody wait at a trip's open invite and tells leaders and crew. From
// a page, n.From says where they came from; of an account it is made here. It fails
// with ErrTooMany, or as roster.Draft.Knock does.
func (d *Door) Knock(ctx context.Context, trip roster.TripID, n roster.Newcomer, source string) (id string, err error) {
	if n.Address != (roster.Address{}) {
		n.From = n.Address.Channel + ":" + n.Address.ID
	}
	n.From = d.cfg.Invites.sign("from", string(trip), n.From)
	if err := d.mayKnock(ctx, trip, n.From); err != nil {
		return "", err
	}
	w := work{trip: trip, event: conversation.Event{Kind: conversation.Knock, Source: source, At: d.cfg.Now()},
		prepare: func(t *roster.Draft, ev *conversation.Event) error {
			if n.Address != (roster.Address{}) && personAt(t.Trip, n.Address) != nil {
				return ErrInviteTaken
			}
			id, err = t.Knock(n, d.cfg.Now())
			ev.Newcomer = id
			return err
		}}
	if err := d.commit(ctx, w); err != nil {
		return "", err
	}
	return id, nil
}

// mayKnock bounds how often the open invite is used: by one place first, so that who is
// refused there takes nothing from the trip's others.
func (d *Door) mayKnock(ctx context.Context, trip roster.TripID, from string) error {
	if d.cfg.Limiter == nil {
		return nil
	}
	for _, b := range []struct {
		bucket string
		most   int
	}{{"knock:" + string(trip) + ":" + from, knocksPlace}, {"knock:" + string(trip), knocksTrip}} {
		wait, slot, err := d.cfg.Limiter.Take(ctx, b.bucket, b.most, knocksIn, d.cfg.Now())
		switch {
		case err != nil:
			return err
		case wait > 0:
			return ErrTooMany
		}
		if err := d.cfg.Limiter.Release(ctx, b.bucket, slot, knocksIn, d.cfg.Now()); err != nil {
			return err
		}
	}
	return nil
}

// Waiting is where somebody stands who waits on a page.
type Waiting struct {
	Trip    *roster.Trip
	Page    string // the code of their own page, once they were let in
	Refused bool
}

// Waits tells where the bearer of a ticket stands; ErrInviteWrong when the ticket is
// none of this code's trip.
func (d *Door) Waits(ctx context.Context, code, newcomer, ticket string) (Waiting, error) {
	id, ok := splitCode(code, openPrefix)
	if !ok || !d.cfg.Invites.isTicket(ticket, roster.TripID(id), newcomer) {
		return Waiting{}, ErrInviteWrong
	}
	l, err := d.cfg.Store.Load(ctx, roster.TripID(id), "")
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return Waiting{}, ErrInviteGone
	case err != nil:
		return Waiting{}, err
	}
	w := Waiting{Trip: l.Trip}
	passed, answered := l.Trip.Answered(newcomer)
	switch p := l.Trip.Person(passed.Person); {
	case answered && p != nil:
		w.Page = d.cfg.Invites.Code(l.Trip.ID, p.ID, p.Generation)
	case answered, l.Trip.Newcomer(newcomer) == nil:
		w.Refused = true
	}
	return w, nil
}
