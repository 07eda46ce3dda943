package delivery

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// seating is who acts and on which trip, with the person's other trips.
type seating struct {
	roster.Seat
	others  []conversation.OtherTrip
	route   roster.Route
	anyTrip bool // it may as well be for another trip
}

// seat finds who acts. A page says it; a button names the trip; a number goes to
// the trip that it can only be meant for; other text to the trip the person chose
// last if that is not over, else to the nearest departure. The first choice for a message is kept,
// so that neither a repeated
// delivery nor a later edit of it ends up on another trip.
func (d *Door) seat(ctx context.Context, in Inbound) (seating, error) {
	if in.Trip != "" && in.Person != "" {
		return seating{Seat: roster.Seat{Trip: in.Trip, Person: in.Person}}, nil
	}
	route, err := d.cfg.Addresses.Route(ctx, in.From, claimKey(in))
	if err != nil {
		return seating{}, err
	}
	switch aside, err := d.answersAside(ctx, in, route); {
	case err != nil:
		return seating{}, err
	case aside:
		return seating{}, errAside
	}
	mine := personal(route.Trips)
	switch {
	case len(mine) == 0:
		return seating{}, errUnknown
	case in.Trip != "" && find(mine, in.Trip) == nil:
		return seating{}, errNotYours
	case len(mine) == 1:
		return seating{Seat: mine[0], route: route}, nil
	}
	return d.choose(ctx, in, route, mine)
}

func claimKey(in Inbound) string {
	if in.Ref != "" {
		return in.Ref
	}
	return in.Source
}

// choose picks one of several trips and binds the message to it.
func (d *Door) choose(ctx context.Context, in Inbound, route roster.Route, mine []roster.Seat) (seating, error) {
	trips, seen, err := d.load(ctx, mine, in.Source)
	if err != nil {
		return seating{}, err
	}
	if seen != "" && route.Claimed == "" {
		route.Claimed = seen // taken while it was the only trip
	}
	meant, anyTrip := d.meant(in, route, mine, trips)
	trip := d.pick(in, route, mine, trips, meant)
	if in.Trip == "" && route.Claimed == "" {
		if trip, err = d.cfg.Addresses.Claim(ctx, in.From, claimKey(in), trip); err != nil {
			return seating{}, err
		}
	}
	s := find(mine, trip)
	if s == nil {
		return seating{}, errTripGone // claimed by a trip that has been left since
	}
	return seating{Seat: *s, others: others(trips, trip, d.cfg.Now()), route: route, anyTrip: anyTrip}, nil
}

// meant is the trip that a text can only be meant for, "" when nothing in it says
// so; anyTrip says that several claim it alike and the person chose none of them.
func (d *Door) meant(in Inbound, route roster.Route, mine []roster.Seat, trips []*roster.Trip) (trip roster.TripID,
	anyTrip bool) {
	if in.Kind != conversation.Text || in.Trip != "" || strings.HasPrefix(in.Text, "/") {
		return "", false
	}
	var best []roster.TripID
	claimed := conversation.DueClaim
	for _, t := range trips {
		s := find(mine, t.ID)
		if s == nil {
			continue
		}
		switch c := conversation.ClaimOf(t, s.Person, in.Text, d.cfg.Now()); {
		case c > claimed:
			best, claimed = []roster.TripID{t.ID}, c
		case c == claimed:
			best = append(best, t.ID)
		}
	}
	switch {
	case len(best) == 0:
		return "", false
	case len(best) == 1:
		return best[0], false
	case slices.Contains(best, route.Current):
		return route.Current, false
	}
	return best[0], true
}

func (d *Door) pick(in Inbound, route roster.Route, mine []roster.Seat, trips []*roster.Trip,
	meant roster.TripID) roster.TripID {
	switch {
	case in.Trip != "":
		return in.Trip
	case route.Claimed != "":
		return route.Claimed
	case meant != "":
		return meant
	}
	if in.Kind == conversation.Edited {
		if t := answered(mine, trips, in.Ref); t != nil {
			return t.ID
		}
	}
	now := d.cfg.Now()
	for _, t := range trips {
		if t.ID == route.Current && !t.Over(now) {
			return t.ID
		}
	}
	for _, t := range trips {
		if !t.Over(now) {
			return t.ID
		}
	}
	if len(trips) > 0 {
		return trips[len(trips)-1].ID // all over: the last of them says so
	}
	return mine[len(mine)-1].Trip
}

// answered is the trip that holds a reading taken from message ref.
func answered(mine []roster.Seat, trips []*roster.Trip, ref string) *roster.Trip {
	for _, t := range trips {
		if s := find(mine, t.ID); s != nil && len(t.ReadingsOf(s.Person, ref)) > 0 {
			return t
		}
	}
	return nil
}

// load reads the trips of seats, by departure; erased ones are left out. seen
// is the one that source was committed to before, "" when there is none.
func (d *Door) load(ctx context.Context, seats []roster.Seat, source string) (trips []*roster.Trip, seen roster.TripID,
	err error) {
	for _, s := range seats {
		l, err := d.cfg.Store.Load(ctx, s.Trip, source)
		switch {
		case errors.Is(err, roster.ErrNotFound):
		case err != nil:
			return nil, "", err
		default:
			trips = append(trips, l.Trip)
			if l.Seen {
				seen = s.Trip
			}
		}
	}
	slices.SortStableFunc(trips, func(a, b *roster.Trip) int { return a.Departs.Compare(b.Departs) })
	return trips, seen, nil
}

// others are the trips one can switch to: not over, nearest departure first.
func others(trips []*roster.Trip, but roster.TripID, now time.Time) []conversation.OtherTrip {
	var list []conversation.OtherTrip
	for _, t := range trips {
		if t.ID != but && !t.Over(now) {
			list = append(list, conversation.OtherTrip{ID: t.ID, Name: t.Name, Departs: t.Departs, Zone: t.Zone})
		}
	}
	return list
}

// personal leaves out the seats of group chats.
func personal(seats []roster.Seat) []roster.Seat {
	var mine []roster.Seat
	for _, s := range seats {
		if s.Person != "" {
			mine = append(mine, s)
		}
	}
	return mine
}

func find(seats []roster.Seat, trip roster.TripID) *roster.Seat {
	for i := range seats {
		if seats[i].Trip == trip {
			return &seats[i]
		}
	}
	return nil
}

// talk switches to another trip of the same person and shows it.
func (d *Door) talk(ctx context.Context, in Inbound, trip roster.TripID) (*Reply, error) {
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return nil, err
	}
	if find(personal(route.Trips), trip) == nil {
		return nil, errNotYours
	}
	if err := d.cfg.Addresses.Prefer(ctx, in.From, trip, "", ""); err != nil {
		return nil, err
	}
	in.Kind, in.Trip, in.Text, in.Do = conversation.Text, trip, "/trip", ""
	return d.act(ctx, in)
}
