package load

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"testing"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// A busy morning as it is measured: boats of fifteen divers, each with a
// cylinder for each of two dives, all joined by Telegram, twenty boats at the
// dock at the same time. A diver reports both cylinders, corrects one of the
// numbers, and analyses both once more with another correction: six readings,
// after which the boat is full and the next one comes to the dock. So a trip
// stays of the size that a real one has.
const (
	divers = 15
	dock   = 20 // boats at the same time
)

// spoken is what a diver types, with the cylinder's number for %d. Every line
// is one reading and asks nothing back.
var spoken = []string{"A%d 31.4", "B%d 35.8", "no, 35.6", "again A%d 31.6", "again B%d 35.7", "no, 35.9"}

// readings are what one boat reports.
var readings = divers * len(spoken)

// boat is one stored trip whose people have joined.
type boat struct {
	draft *roster.Draft // until it is stored
	trip  *roster.Trip  // as it was stored
	chats []int64       // of its divers
}

// newBoat is a trip that departs in three hours. Chats are numbered from
// first on; the leader's is the first.
func newBoat(first int64, size int, now time.Time) *boat {
	t := roster.Change(roster.NewTrip(roster.NewTripID(), "bluebarrel"))
	*t.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores",
		Departs: now.Add(3 * time.Hour).Truncate(time.Second).UTC(), Units: gas.Metres, Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(33), Minutes: 22},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Minutes: 45, Interval: 60}},
		Analysers: []roster.Analyser{{Name: "Red", AirAsked: true, AirPoints: aired(20.9, now)},
			{Name: "Yellow", AirAsked: true, AirPoints: aired(20.8, now)}},
	}
	b := &boat{draft: t}
	t.AddPerson(&roster.Person{Name: "Inês", Leader: true}, "", now)
	for i := range size {
		t.AddPerson(&roster.Person{Name: fmt.Sprintf("Diver %02d", i+1), Card: gas.CardSeen, Language: "en",
			DivedBefore: "no",
			BeforeAsked: now, Analyser: t.Analysers[i%2].Name, Cylinders: []*roster.Cylinder{
				{Label: fmt.Sprint("A", i+1), Asked: 32, Dive: 1}, {Label: fmt.Sprint("B", i+1), Asked: 36, Dive: 2}}}, "", now)
	}
	for i, p := range t.People {
		chat := first + int64(i)
		if !p.Leader {
			b.chats = append(b.chats, chat)
		}
		t.Join(p.ID, roster.Address{Channel: "telegram", ID: strconv.FormatInt(chat, 10)}, "en", now)
		t.Edit(p.ID).OnlyTrip = true // as the door found out when they joined
	}
	return b
}

// aired is what an analyser showed in air two hours ago.
func aired(shown gas.Percent, now time.Time) []roster.AirPoint {
	return []roster.AirPoint{{Moment: evidence.Moment{At: now.Add(-2 * time.Hour)}, Percent: shown}}
}

// store puts the boat's trip, and each address's own record, where the service
// finds them, as its invites would have.
func (b *boat) store(ctx context.Context, e embedded) (err error) {
	if b.trip, err = e.Door.Create(ctx, b.draft); err != nil {
		return err
	}
	for _, p := range b.trip.People {
		seat := roster.Seat{Trip: b.trip.ID, Person: p.ID, Departs: b.trip.Departs}
		if err := e.Store.Addresses().Seat(ctx, p.Addresses[0], seat); err != nil {
			return err
		}
	}
	return nil
}

// fleet stores n boats of that size; their chats are numbered from first on.
func fleet(tb testing.TB, e embedded, first int64, n, size int, now time.Time) []*boat {
	tb.Helper()
	boats := make([]*boat, n)
	atOnce(tb, n, func(ctx context.Context, i int) error {
		boats[i] = newBoat(first+int64(100*i), size, now)
		return boats[i].store(ctx, e)
	})
	return boats
}

// update is one text message as the Bot API posts it.
func update(id, chat int64, date time.Time, text string) []byte {
	who := map[string]any{"id": chat, "is_bot": false, "first_name": "Tomasz", "language_code": "en"}
	raw, err := json.Marshal(map[string]any{"update_id": id, "message": map[string]any{
		"message_id": id, "from": who, "chat": map[string]any{"id": chat, "first_name": "Tomasz", "type": "private"},
		"date": date.Unix(), "text": text}})
	if err != nil {
		panic(err) // our own types
	}
	return raw
}

// reports are all readings of the boats. A diver keeps to one connection, so
// that they stay in order, and says one thing after the other while the other
// divers at the dock say theirs. No two messages on one analyser are closer
// than the fifteen seconds from which the service asks whether that was long
// enough. ids are counted on from *id.
func reports(boats []*boat, id *int64, now time.Time) *magazine {
	m := new(magazine)
	for len(boats) > 0 {
		here := boats[:min(dock, len(boats))]
		boats = boats[len(here):]
		for line, text := range spoken {
			for k, b := range here {
				for i, chat := range b.chats {
					*id++
					date := now.Add(-90*time.Minute + 20*time.Second*time.Duration(line*divers+i))
					said := text
					if len(text) > len("no, 35.6") || text[0] != 'n' {
						said = fmt.Sprintf(text, i+1)
					}
					lane := (k*divers + i) % connections
					m[lane] = append(m[lane], webhookCall(update(*id, chat, date, said)))
				}
			}
		}
	}
	return m
}

// stored counts the readings of a boat as they are in the store.
func (b *boat) stored(ctx context.Context, s roster.Store) (int, error) {
	l, err := s.Load(ctx, b.trip.ID, "")
	if err != nil {
		return 0, err
	}
	n := 0
	for _, p := range l.Trip.People {
		for _, c := range p.Cylinders {
			n += len(c.Readings)
		}
	}
	return n, nil
}

// allStored fails the benchmark unless everything that was acknowledged is
// in the store.
func allStored(tb testing.TB, e embedded, boats []*boat, acknowledged int) {
	tb.Helper()
	counts := make([]int, len(boats))
	atOnce(tb, len(boats), func(ctx context.Context, i int) (err error) {
		counts[i], err = boats[i].stored(ctx, e.Store)
		return err
	})
	total := 0
	for _, n := range counts {
		total += n
	}
	if total != acknowledged {
		tb.Fatalf("%d readings acknowledged, %d stored", acknowledged, total)
	}
}
