package load

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/roster"
)

// BenchmarkFloor is the bare echo with the store's part of a reading behind it
// and nothing else: a reading is noted and committed with an answer and news of
// the usual length, but nothing is understood, checked or said. What the service
// does beyond that can't make it faster.
func BenchmarkFloor(b *testing.B) {
	for _, fsync := range []string{"everysec", "always"} {
		b.Run(fsync, func(b *testing.B) {
			t := benchOf(b, newService(b, fsync))
			f := &floor{store: t.e.Store, boats: map[int64]*moored{}}
			mux := http.NewServeMux()
			mux.HandleFunc("POST /telegram/webhook", f.answer)
			t.service = aim(b, serve(b, mux))
			var ratios, waits []float64
			for b.Loop() {
				for range rounds() {
					boats, m := t.arrivals(2 * dock)
					f.take(boats)
					echoed := t.echo.barrage(b, m)
					ratios = append(ratios, echoed.Seconds()/t.service.barrage(b, m).Seconds())
					allStored(b, t.e, boats, m.size())
					boats, m = t.arrivals(2 * dock)
					f.take(boats)
					p99 := quantile(t.echo.steady(b, m, steadyRate), 0.99)
					waits = append(waits, quantile(t.service.steady(b, m, steadyRate), 0.99)/p99)
				}
			}
			note := func(v []float64) string { return fmt.Sprintf("spread %.0f %%", spread(v)) }
			report(b, figure{what: "the echo and a commit alone, fsync " + fsync + ": share of the echo's rate",
				got: median(ratios), note: note(ratios)}, "share")
			report(b, figure{what: fmt.Sprintf("  at %d/s, 99 of 100 within: times the echo's", steadyRate), got: median(waits),
				note: note(waits)}, "times-echo")
		})
	}
}

// floor notes and commits whatever comes in as a reading of who says it.
type floor struct {
	store roster.Store
	boats map[int64]*moored // by chat
}

// moored is a boat as its process committed it last.
type moored struct {
	sync.Mutex
	trip *roster.Trip
}

func (f *floor) take(boats []*boat) {
	for _, b := range boats {
		one := &moored{trip: b.trip}
		for _, chat := range b.chats {
			f.boats[chat] = one
		}
	}
}

// As long as the real ones.
var (
	floorAnswer = []byte(`{"lines":[{"k":"` + strings.Repeat("x", 560) + `"}]}`)
	floorNews   = []byte(`{"type":"reading.recorded","data":"` + strings.Repeat("x", 250) + `"}`)
)

func (f *floor) answer(w http.ResponseWriter, r *http.Request) {
	var bot tgbotapi.BotAPI
	u, err := bot.HandleUpdate(r)
	if err != nil || u.Message == nil {
		http.Error(w, "not an update", http.StatusBadRequest)
		return
	}
	m := f.boats[u.Message.Chat.ID]
	m.Lock()
	defer m.Unlock()
	now := time.Unix(int64(u.Message.Date), 0).UTC()
	chat := roster.Address{Channel: "telegram", ID: fmt.Sprint(u.Message.Chat.ID)}
	for _, p := range m.trip.People {
		if len(p.Addresses) == 0 || p.Addresses[0] != chat {
			continue
		}
		d := roster.Change(m.trip)
		d.Record(p.Cylinders[u.UpdateID%2].ID,
			roster.Reading{Percent: 31.4, At: now, Ref: fmt.Sprint("tg:", chat.ID, ":", u.UpdateID), By: p.ID}, now)
		var stored *roster.Trip
		stored, err = f.store.Commit(r.Context(),
			roster.Commit{Was: m.trip, Trip: d.Done(), Acts: d.Acts, Token: roster.NewToken(),
				Sources: []string{fmt.Sprint("tg:", u.UpdateID)},
				Out: []roster.Envelope{{ID: fmt.Sprint(m.trip.ID, ":", u.UpdateID), Person: p.ID, Address: chat, Safety: true,
					Language: "en", Units: "m", Payload: floorAnswer}},
				Events: []json.RawMessage{floorNews}, Wake: m.trip.Departs, Expire: m.trip.Departs.Add(30 * 24 * time.Hour)})
		if err == nil {
			m.trip = stored
		}
		break
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
	}
}
