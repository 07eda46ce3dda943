package webhook

import (
	"context"
	"errors"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// soon is how far ahead a trip may be for its leaders to hear that the shop's
// systems are not told any more.
const soon = 7 * day

// disabled tells the log and the leaders of the trips that are near.
func (t *Teller) disabled(ctx context.Context, n roster.News, e roster.Endpoint, o outcome) {
	t.log(n).Error("endpoint disabled: the shop's systems are told nothing until it is registered again", "reason",
		o.reason)
	if t.cfg.Door == nil {
		return
	}
	now := t.cfg.Now()
	ids, err := t.cfg.Trips.List(ctx, n.Shop, now.Add(-day), now.Add(soon))
	for _, id := range ids {
		_, applyErr := t.cfg.Door.Apply(ctx, id, "unheard:"+e.ID+":"+string(id),
			func(trip *roster.Trip) (conversation.Change, error) {
				if trip.Over(now) {
					return conversation.Change{}, roster.ErrNotFound
				}
				return conversation.Change{Unheard: true}, nil
			})
		if applyErr != nil && !errors.Is(applyErr, roster.ErrNotFound) {
			err = errors.Join(err, applyErr)
		}
	}
	if err != nil {
		t.log(n).Error("not all leaders were told", "error", err)
	}
}
