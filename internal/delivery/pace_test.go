package delivery

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/roster"
)

// free is a limiter under which there is always a place.
type free struct{}

func (free) Take(context.Context, string, int, time.Duration, time.Time) (time.Duration, string, error) {
	return 0, "slot", nil
}

func (free) TakeAll(context.Context, roster.Level, []roster.Window, time.Time) (roster.Place, error) {
	return roster.Place{Slot: "slot"}, nil
}
func (free) Release(context.Context, string, string, time.Duration, time.Time) error { return nil }
func (free) ReleaseAll(context.Context, []roster.Window, string, time.Time) error    { return nil }
func (free) Pause(context.Context, string, time.Time) error                          { return nil }

// An announcement's letters leave over a quarter of a second, not all at once;
// an answer is never held back by that for longer than the one before it.
func TestAnnouncementsAreSpread(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ahead := time.Duration(0)
		p := newPacer(free{}, map[string]Limit{"telegram": TelegramLimit}, func() time.Time { return time.Now().Add(ahead) })
		to := roster.Address{Channel: "telegram", ID: "1"}
		took := func(level roster.Level) time.Duration {
			began := time.Now()
			if wait, _, err := p.take(t.Context(), to, level); wait != 0 || err != nil {
				t.Fatal(wait, err)
			}
			return time.Since(began)
		}
		const apart = time.Second / 120
		all := took(roster.LevelAnnouncement)
		for range 29 {
			all += took(roster.LevelAnnouncement)
		}
		if want := 29 * apart; all != want {
			t.Errorf("thirty announcements left within %v, want %v", all, want)
		}
		if d := took(roster.LevelVerdict); d != 0 {
			t.Errorf("an answer waited for %v", d)
		}
		ahead = -time.Hour
		if d := took(roster.LevelReminder); d > apart {
			t.Errorf("a reminder waited for %v after the clock was set back", d)
		}
	})
}
