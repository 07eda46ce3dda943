package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/shopapi"
)

// Trips takes trips in and shows them for the command line: with the reader,
// the checks and the door of the shop's API, but without its keys, since who
// can reach the store needs none.
type Trips struct {
	store *rdb.Store
	door  *delivery.Door
	view  shopapi.Deps
	now   func() time.Time
}

// Trip is a trip as shops see it.
type Trip = shopapi.Trip

// Imported says how a CSV file was read.
type Imported = booking.Imported

// Faults are what is wrong with a file, each with its place; nil for any
// other error.
func Faults(err error) []booking.Fault {
	var no *booking.Refusal
	if !errors.As(err, &no) {
		return nil
	}
	if len(no.Faults) == 0 {
		return []booking.Fault{{Detail: no.Detail}}
	}
	return no.Faults
}

// OpenTrips connects to the store of a deployment, for the command line. Its
// secret is needed for the invites.
func OpenTrips(ctx context.Context, cfg Config) (s Trips, closeAll func(), err error) {
	if want := wrongSecret(cfg.Secret.Reveal()); want != "" {
		return Trips{}, nil, fmt.Errorf("%sSECRET %s", Prefix, want)
	}
	client, err := connect(ctx, cfg.RedisURL.Reveal(), cfg.RedisReplicas)
	if err != nil {
		return Trips{}, nil, err
	}
	store := rdb.New(client)
	return newTrips(store, cfg, time.Now), func() { _ = client.Close() }, nil
}

func newTrips(store *rdb.Store, cfg Config, now func() time.Time) Trips {
	store.Now, store.Keep = now, cfg.Keep()+24*time.Hour
	invites := delivery.NewInvites(cfg.Secret.Reveal())
	door := delivery.NewDoor(delivery.DoorConfig{Store: store, Addresses: store.Addresses(), Pages: store.Chats(),
		Invites: invites,
		Keep:    cfg.Keep(), Evening: cfg.Evening, Quiet: cfg.Quiet, Now: now, Log: slog.New(slog.DiscardHandler)})
	view := shopapi.Deps{Renderer: message.New(), Invites: invites, PublicURL: cfg.PublicURL}
	return Trips{store: store, door: door, view: view, now: now}
}

// Import reads a trip and stores it for a shop. A trip of the same name that
// departs at the same time is refused unless again is set: most often it is
// the same file twice.
func (s Trips) Import(ctx context.Context, shopName string, body []byte, contentType string, again bool) (Trip,
	*Imported, error) {
	shop, err := s.shop(ctx, shopName)
	if err != nil {
		return Trip{}, nil, err
	}
	draft, how, err := booking.ReadTrip(body, contentType, shop.Policy, s.now())
	if err != nil {
		return Trip{}, how, err
	}
	draft.Shop = shop.ID
	if !again {
		if err := s.refuseTwin(ctx, draft.Trip); err != nil {
			return Trip{}, how, err
		}
	}
	t, err := s.door.Create(ctx, draft)
	if err != nil {
		return Trip{}, how, err
	}
	return s.view.View(t, s.now()), how, nil
}

// Check reads a trip as Import does and stores nothing. Where it can't be told whose it
// would be, its policy is the default.
func (s Trips) Check(ctx context.Context, shopName string, body []byte, contentType string) (Trip, *Imported, error) {
	shop, err := s.shop(ctx, shopName)
	if err != nil && shopName != "" {
		return Trip{}, nil, err
	}
	draft, how, err := booking.ReadTrip(body, contentType, shop.Policy, s.now())
	if err != nil {
		return Trip{}, how, err
	}
	return s.view.Preview(draft.Trip, s.now()), how, nil
}

// Template is a file to fill in, as CSV or as a workbook, in units "m" or "ft".
func Template(units string, workbook bool) ([]byte, error) {
	if workbook {
		return booking.TemplateXLSX(units)
	}
	return booking.TemplateCSV(units), nil
}

// MaxTripFile is how large a file of a trip may be, in bytes.
const MaxTripFile = booking.MaxFile

// TypeOfTripFile is the media type of a file: JSON, a workbook or CSV.
func TypeOfTripFile(name string, body []byte) string {
	looks := bytes.HasPrefix(bytes.TrimSpace(bytes.TrimPrefix(body, []byte("\ufeff"))), []byte("{"))
	if ext := strings.ToLower(filepath.Ext(name)); ext == ".json" || ext != ".csv" && looks {
		return "application/json"
	}
	return booking.TypeOfFile(name, body)
}

func (s Trips) refuseTwin(ctx context.Context, t *roster.Trip) error {
	ids, err := s.store.List(ctx, t.Shop, t.Departs, t.Departs.Add(time.Second))
	if err != nil {
		return err
	}
	for _, id := range ids {
		l, err := s.store.Load(ctx, id, "")
		if errors.Is(err, roster.ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		if l.Trip.Name == t.Name {
			return fmt.Errorf("%q with the same departure is there already: trip %s. To store it a second time: --again",
				t.Name, id)
		}
	}
	return nil
}

// shop is the shop of that name; without a name, the only one there is.
func (s Trips) shop(ctx context.Context, name string) (roster.Shop, error) {
	list, err := s.store.Shops().ShopList(ctx)
	if err != nil {
		return roster.Shop{}, err
	}
	for _, one := range list {
		if one.Name == name || (name == "" && len(list) == 1) {
			return one, nil
		}
	}
	switch {
	case len(list) == 0:
		return roster.Shop{}, errors.New("there are no shops yet: bot shop add NAME")
	case name == "":
		return roster.Shop{}, fmt.Errorf("there are %d shops: name one with --shop; bot shop list shows them", len(list))
	}
	return roster.Shop{}, fmt.Errorf("there is no shop %q; bot shop list shows them", name)
}

// List are the trips from a day ago on, of one shop or, without a name, of
// all, each shop's by departure.
func (s Trips) List(ctx context.Context, shopName string) ([]Trip, error) {
	shops, err := s.store.Shops().ShopList(ctx)
	if shopName != "" && err == nil {
		var one roster.Shop
		one, err = s.shop(ctx, shopName)
		shops = []roster.Shop{one}
	}
	if err != nil {
		return nil, err
	}
	var trips []Trip
	for _, shop := range shops {
		ids, err := s.store.List(ctx, shop.ID, s.now().AddDate(0, 0, -1), time.Time{})
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			t, err := s.Show(ctx, string(id))
			if err == nil {
				trips = append(trips, t)
			} else if !errors.Is(err, roster.ErrNotFound) {
				return nil, err
			}
		}
	}
	return trips, nil
}

// Cancel calls a trip off: everybody is told why, reminders stop, the record stays.
func (s Trips) Cancel(ctx context.Context, id, reason string) (Trip, error) {
	if !roster.TripID(id).Valid() {
		return Trip{}, roster.ErrNotFound
	}
	l, err := s.store.Load(ctx, roster.TripID(id), "")
	if err != nil {
		return Trip{}, err
	}
	office := booking.Office{Door: s.door, Trips: s.store, Now: s.now}
	t, err := office.Apply(ctx, l.Trip.Shop, l.Trip.ID, "", booking.CallOff(reason, booking.Faults{}))
	if no := (*booking.Refusal)(nil); errors.As(err, &no) && len(no.Faults) == 0 {
		err = errors.New(no.Detail) // of the trip, not of what was typed
	}
	if err != nil {
		return Trip{}, err
	}
	return s.view.View(t, s.now()), nil
}

// ErrNoTrip says that there is no trip of that id.
var ErrNoTrip = roster.ErrNotFound

// Show is one trip, ErrNoTrip when there is none.
func (s Trips) Show(ctx context.Context, id string) (Trip, error) {
	if !roster.TripID(id).Valid() {
		return Trip{}, roster.ErrNotFound
	}
	l, err := s.store.Load(ctx, roster.TripID(id), "")
	if err != nil {
		return Trip{}, err
	}
	return s.view.View(l.Trip, s.now()), nil
}
