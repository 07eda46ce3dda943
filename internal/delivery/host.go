package delivery

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/conversation/newtrip"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Hosts: who opens a host's link may start trips for that shop. The link is theirs
// alone; a removed host and an older link open nothing.

var errNoHost = errors.New("not a host")

// Hosted judges a host's code.
func (d *Door) Hosted(ctx context.Context, code string) (roster.Host, error) {
	id, ok := splitCode(code, hostPrefix)
	if !ok || d.cfg.Hosts == nil {
		return roster.Host{}, ErrInviteWrong
	}
	h, err := d.cfg.Hosts.Host(ctx, roster.HostID(id))
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return roster.Host{}, ErrInviteWrong
	case err != nil:
		return roster.Host{}, err
	}
	return h, verify(code, h.Generation, func(g int) string { return d.cfg.Invites.HostCode(h.ID, g) })
}

// becomeHost opens a host's link in the chat.
func (d *Door) becomeHost(ctx context.Context, in Inbound, code string) (*Reply, error) {
	h, err := d.Hosted(ctx, code)
	if err != nil {
		return nil, err
	}
	if err := d.cfg.Addresses.Hosts(ctx, in.From, roster.HostSeat{ID: h.ID, Generation: h.Generation}); err != nil {
		return nil, err
	}
	r := said(in, message.Loud("host.welcome", message.Args{"name": message.Name(h.Name)}),
		message.Say("host.how", message.Args{"command": message.Code("/newtrip")}),
		message.Line{Key: "diver.caution", Style: message.Quiet})
	r.Message.Commands = "host"
	return r, nil
}

// IsHost tells whether an account may start trips, as far as can be known now.
func (d *Door) IsHost(ctx context.Context, a roster.Address) bool {
	route, err := d.cfg.Addresses.Route(ctx, a, "")
	if err != nil {
		return false
	}
	_, err = d.hostOf(ctx, route)
	return err == nil
}

// hostOf is the host that an account is, errNoHost when it is none any more.
func (d *Door) hostOf(ctx context.Context, route roster.Route) (roster.Host, error) {
	if route.Host.ID == "" || d.cfg.Hosts == nil {
		return roster.Host{}, errNoHost
	}
	h, err := d.cfg.Hosts.Host(ctx, route.Host.ID)
	if errors.Is(err, roster.ErrNotFound) || err == nil && h.Generation != route.Host.Generation {
		return roster.Host{}, errNoHost
	}
	return h, err
}

// newTrip is "/newtrip", with as much of the trip as was typed behind it.
func (d *Door) newTrip(ctx context.Context, in Inbound, text string) (*Reply, error) {
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return nil, err
	}
	h, err := d.hostOf(ctx, route)
	if err != nil {
		return nil, err
	}
	if route.Language != "" {
		in.Language = route.Language
	}
	// What is typed next must not be taken for talk on a trip.
	for _, seat := range personal(route.Trips) {
		if err := d.notOnly(ctx, seat, in.From); err != nil {
			return nil, err
		}
	}
	if k := readTalk(route.Talk); k.NewTrip != nil && k.Source == in.Source {
		return d.newTripOn(ctx, in, route, k)
	}
	f := newtrip.New(h)
	if f.Policy, err = d.PolicyOf(ctx, h.Shop); err != nil {
		return nil, err
	}
	desk, err := d.desk(ctx, in, h)
	if err != nil {
		return nil, err
	}
	problem := f.TypedAtOnce(desk, text)
	return d.keep(ctx, in, talk{NewTrip: &f}, withProblem(problem, f.Next(desk)))
}

func withProblem(problem message.Line, m message.Message) message.Message {
	if problem.Key != "" {
		m.Lines = append([]message.Line{problem}, m.Lines...)
	}
	return m
}

func (d *Door) desk(ctx context.Context, in Inbound, h roster.Host) (newtrip.Desk, error) {
	sites, err := d.Sites(ctx, h.Shop)
	return newtrip.Desk{Now: d.cfg.Now(), Language: in.Language, Sites: sites}, err
}

// PolicyOf is what a shop's new trips begin with, nil for the default.
func (d *Door) PolicyOf(ctx context.Context, shop roster.ShopID) (*gas.Policy, error) {
	if d.cfg.Shops == nil {
		return nil, nil
	}
	s, err := d.cfg.Shops.Shop(ctx, shop)
	if errors.Is(err, roster.ErrNotFound) {
		err = nil // a trip of a shop that was removed meanwhile is refused elsewhere
	}
	return s.Policy, err
}

// How far back sites are looked for, and in how many trips.
const (
	sitesSince = 200 * 24 * time.Hour
	sitesTrips = 8
)

// Sites are the dives of a shop's last trips, each site once, the newest first.
func (d *Door) Sites(ctx context.Context, shop roster.ShopID) (sites []roster.Dive, err error) {
	ids, err := d.cfg.Store.List(ctx, shop, d.cfg.Now().Add(-sitesSince), time.Time{})
	if err != nil {
		return nil, err
	}
	slices.Reverse(ids)
	for _, id := range ids[:min(sitesTrips, len(ids))] {
		l, err := d.cfg.Store.Load(ctx, id, "")
		if errors.Is(err, roster.ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, dive := range l.Trip.Dives {
			known := func(s roster.Dive) bool {
				return strings.EqualFold(s.Site, dive.Site) && s.Depth.Unit == dive.Depth.Unit
			}
			if !slices.ContainsFunc(sites, known) {
				sites = append(sites, roster.Dive{Site: dive.Site, Depth: dive.Depth, Bottom: dive.Bottom,
					Bottomless: dive.Bottomless, Water: dive.Water, Altitude: dive.Altitude})
			}
		}
	}
	return sites, nil
}

// newTripOn goes on with starting a trip.
func (d *Door) newTripOn(ctx context.Context, in Inbound, route roster.Route, k talk) (*Reply, error) {
	h, err := d.hostOf(ctx, route)
	if err != nil {
		return nil, err
	}
	desk, err := d.desk(ctx, in, h)
	if err != nil {
		return nil, err
	}
	f := k.NewTrip
	_, do, _ := strings.Cut(in.Do, " ")
	switch pressed := in.Kind == conversation.Button; {
	case pressed && do == newtrip.Stop:
		return said(in, message.Say("leader.cancelled", nil)), d.endTalk(ctx, in)
	case pressed && do == newtrip.Start && f.Complete():
		return d.startTrip(ctx, in, h, f)
	case k.Source == in.Source:
		return d.keep(ctx, in, k, f.Next(desk))
	case !pressed:
		return d.keep(ctx, in, k, withProblem(f.Typed(desk, in.Text), f.Next(desk)))
	}
	problem, ok := f.Pressed(desk, strings.Fields(do))
	if !ok {
		problem = message.Say("leader.question-over", nil)
	}
	return d.keep(ctx, in, k, withProblem(problem, f.Next(desk)))
}

// startTrip stores the trip and lets its host in as the leader. Pressed twice, or
// delivered twice, it is one trip.
func (d *Door) startTrip(ctx context.Context, in Inbound, h roster.Host, f *newtrip.Form) (*Reply, error) {
	t, err := d.StartTrip(ctx, h, f, in.Language)
	if faulty := (FaultyTrip{}); errors.As(err, &faulty) {
		return said(in, message.Say("newtrip.wrong",
			message.Args{"typed": message.FaultyTrip(faulty.Faults)})), d.endTalk(ctx, in)
	}
	if err != nil {
		return nil, err
	}
	if err := d.endTalk(ctx, in); err != nil {
		return nil, err
	}
	if err := d.cfg.Addresses.Prefer(ctx, in.From, t.ID, "", ""); err != nil {
		return nil, err
	}
	leader := t.Leaders()[0]
	in.Kind, in.Do, in.Text, in.Trip = conversation.Text, "", "", ""
	return d.start(ctx, in, d.cfg.Invites.Code(t.ID, leader.ID, leader.Generation))
}

// FaultyTrip is a trip that can't be, with what is wrong with it.
type FaultyTrip struct{ Faults []roster.Fault }

func (e FaultyTrip) Error() string {
	var all []string
	for _, f := range e.Faults {
		all = append(all, f.String())
	}
	return strings.Join(all, "; ")
}

// StartTrip stores the trip of a form for its host, who leads it, and returns it; one
// that was stored before is returned as it is. A FaultyTrip error says what is
// wrong. What the host said of zone and units is remembered.
func (d *Door) StartTrip(ctx context.Context, h roster.Host, f *newtrip.Form, language string) (*roster.Trip, error) {
	var err error
	if f.Policy, err = d.PolicyOf(ctx, h.Shop); err != nil { // as it is now
		return nil, err
	}
	draft, faults := f.Draft(h, message.Match(language), d.cfg.Now())
	if len(faults) > 0 {
		return nil, FaultyTrip{faults}
	}
	t, err := d.Create(ctx, draft)
	if errors.Is(err, roster.ErrConflict) || errors.Is(err, roster.ErrDuplicate) { // stored before
		l, err := d.cfg.Store.Load(ctx, f.Trip, "")
		return l.Trip, err
	}
	if err == nil && (h.Zone != f.Zone || h.Units != f.Units) {
		h.Zone, h.Units = f.Zone, f.Units
		err = d.cfg.Hosts.PutHost(ctx, h)
	}
	return t, err
}
