package roster

import (
	"context"
	"strings"
	"time"
)

// HostID is ten random characters, as of a trip.
type HostID string

// NewHostID is a random host id: 50 bits.
func NewHostID() HostID { return HostID(random(10)) }

// Valid tells whether id has the form of a host id.
func (id HostID) Valid() bool { return len(id) == 10 && strings.Trim(string(id), tripAlphabet) == "" }

// Host is somebody who may start trips for a shop, by a link of their own.
type Host struct {
	ID         HostID    `json:"id"`
	Shop       ShopID    `json:"shop"`
	Name       string    `json:"name"`
	Generation int       `json:"generation"`      // of the link; counting it up revokes it
	Zone       string    `json:"zone,omitempty"`  // IANA name of their trips, "" until they said it
	Units      string    `json:"units,omitempty"` // "m" or "ft" of their trips, "" until they said it
	Created    time.Time `json:"created"`
}

// MaxHosts is how many hosts a deployment has at most.
const MaxHosts = 500

// Hosts keeps the hosts of a deployment.
type Hosts interface {
	// PutHost stores a host; ErrConflict when there are MaxHosts others.
	PutHost(ctx context.Context, h Host) error
	// Host returns ErrNotFound when there is none of that id.
	Host(ctx context.Context, id HostID) (Host, error)
	// HostList are all hosts, by name.
	HostList(ctx context.Context) ([]Host, error)
	// RemoveHost makes a host nobody; its link and account open nothing then.
	RemoveHost(ctx context.Context, id HostID) error
}

// HostSeat is that an account came in by a host's link, of that generation.
type HostSeat struct {
	ID         HostID
	Generation int
}
