package booking

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"net/http"
	"reflect"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Door is the one door in, as far as a shop uses it.
type Door interface {
	// Create stores a new trip; roster.ErrConflict when its id is taken.
	Create(ctx context.Context, t *roster.Draft) (*roster.Trip, error)
	// Apply lets change look at the stored trip and say what is to change, or
	// refuse; source makes the change happen once. See delivery.Door.
	Apply(ctx context.Context, trip roster.TripID, source string,
		change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip, error)
}

// Loader reads trips.
type Loader interface {
	Load(ctx context.Context, id roster.TripID, source string) (roster.Loaded, error)
	List(ctx context.Context, shop roster.ShopID, from, to time.Time) ([]roster.TripID, error)
}

// Office is a shop's way to its trips.
type Office struct {
	Door  Door
	Trips Loader
	Now   func() time.Time
}

// maxChanges of a trip, whoever made them, end a shop's own: a script that goes
// round in a circle must not make a trip too large for its divers.
const maxChanges = 50_000

// owned is nil when the trip is the shop's; a trip of another shop is as absent
// as one that never was.
func owned(shop roster.ShopID, t *roster.Trip) error {
	if t.Shop != shop {
		return roster.ErrNotFound
	}
	return nil
}

// Load is a shop's trip; roster.ErrNotFound for any other.
func (o Office) Load(ctx context.Context, shop roster.ShopID, id roster.TripID) (*roster.Trip, error) {
	if !id.Valid() {
		return nil, roster.ErrNotFound
	}
	loaded, err := o.Trips.Load(ctx, id, "")
	if err == nil {
		err = owned(shop, loaded.Trip)
	}
	if err != nil {
		return nil, err
	}
	return loaded.Trip, nil
}

// Between are a shop's trips that depart in [from, to), by departure, at most
// most; more says that there are others.
func (o Office) Between(ctx context.Context, shop roster.ShopID, from, to time.Time, most int) (trips []*roster.Trip,
	more bool, err error) {
	ids, err := o.Trips.List(ctx, shop, from, to)
	if err != nil {
		return nil, false, err
	}
	for _, id := range ids[:min(len(ids), most)] {
		t, err := o.Load(ctx, shop, id)
		if errors.Is(err, roster.ErrNotFound) {
			continue // erased between the two reads
		}
		if err != nil {
			return nil, false, err
		}
		trips = append(trips, t)
	}
	return trips, len(ids) > most, nil
}

// Apply lets change look at a shop's trip and sends what it wants through the
// door; it gives back the trip as it is then. Where nothing is to change nothing is
// written, and the trip's version stays. change runs on the stored trip, so
// that what it checked still holds when it is written. A *Refusal says why not.
func (o Office) Apply(ctx context.Context, shop roster.ShopID, id roster.TripID, source string,
	change func(*roster.Trip) (conversation.Change, error),
) (*roster.Trip, error) {
	return o.apply(ctx, shop, id, source, o.changeable, change)
}

// PutOn is a trip that was called off, taking place after all.
func (o Office) PutOn(ctx context.Context, shop roster.ShopID, id roster.TripID, source string) (*roster.Trip, error) {
	return o.apply(ctx, shop, id, source, owned, PutOn(o.Now()))
}

func (o Office) apply(ctx context.Context, shop roster.ShopID, id roster.TripID, source string,
	may func(roster.ShopID, *roster.Trip) error, change Change,
) (*roster.Trip, error) {
	t, err := o.Door.Apply(ctx, id, source, func(t *roster.Trip) (conversation.Change, error) {
		if err := may(shop, t); err != nil {
			return conversation.Change{}, err
		}
		c, err := change(t)
		if err == nil && reflect.ValueOf(c).IsZero() {
			err = errSame
		}
		return c, err
	})
	if errors.Is(err, errSame) {
		return o.Load(ctx, shop, id)
	}
	if err == nil {
		err = owned(shop, t) // a repeated source comes back without having asked change
	}
	if err != nil {
		return nil, err
	}
	return t, nil
}

// errSame ends a change that changes nothing.
var errSame = errors.New("nothing differs")

func (o Office) changeable(shop roster.ShopID, t *roster.Trip) error {
	if err := owned(shop, t); err != nil {
		return err
	}
	if t.Over(o.Now()) {
		return over()
	}
	if t.Version >= maxChanges {
		return refused(http.StatusConflict, message.Say("refuse.full", nil),
			"Send the rest of the day as a new trip, and see what keeps writing.")
	}
	return nil
}

func over() *Refusal { return refused(http.StatusConflict, message.Say("refuse.over", nil), "") }

// TripID is ten characters of [a-z2-7]: random, or following from a name that the
// shop gave (a form's or a request's id, a reference of its own) and from the hash
// of its key, which only the key's holder could compute.
func TripID(shop roster.Shop, name string) roster.TripID {
	text := rand.Text()
	if name != "" {
		sum := sha256.Sum256([]byte(shop.KeyHash + "\x00" + name))
		text = base32.StdEncoding.EncodeToString(sum[:])
	}
	return roster.TripID(strings.ToLower(text[:10]))
}

// TripOfRef is the id of the trip that a shop's own system calls ref: the same one
// whatever key the shop has by now.
func TripOfRef(shop roster.ShopID, ref string) roster.TripID {
	sum := sha256.Sum256([]byte("ref\x00" + string(shop) + "\x00" + ref))
	return roster.TripID(strings.ToLower(base32.StdEncoding.EncodeToString(sum[:])[:10]))
}
