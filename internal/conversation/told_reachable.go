package conversation

import (
	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// People whose chat can't be written to: the leaders are told by name, so that
// somebody speaks to them.

// lost notes that a person can't be reached. The leaders hear it as news.
func (t *turn) lost() {
	p := t.me()
	if p == nil || p.Erased || p.Unreachable != "" {
		return
	}
	reason := t.event.Reason
	if reason == "" {
		reason = "unknown"
	}
	p = t.trip.Edit(p.ID)
	p.Unreachable = orders.Clip(reason, orders.LongestReason)
	t.trip.Note(roster.Act{At: t.now, Verb: "unreachable", On: string(p.ID), Reason: p.Unreachable})
	t.happen("diver.unreachable", map[string]any{"person": p.ID, "reason": p.Unreachable})
	t.queueMoves()
}

// found notes that a person can be reached again.
func (t *turn) found() {
	p := t.me()
	if p == nil || p.Unreachable == "" {
		return
	}
	p = t.trip.Edit(p.ID)
	p.Unreachable = ""
	t.trip.Note(roster.Act{At: t.now, Verb: "reachable", On: string(p.ID)})
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("reachable.leader",
		message.Args{"name": t.nameOf(p.ID)})}})
	t.leaderIsBack(p)
}
