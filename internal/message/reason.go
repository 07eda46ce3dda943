package message

import "slices"

// outReasons are the reasons for sitting out that everybody may read: they say
// nothing of health. Whatever else a leader wrote is the leader's own.
var outReasons = []string{"not-diving", "gas", "gear", "other"}

// SharedReason is the reason for a sit-out as others than the leader who set it
// may have it: one of a few words, "other" for anything else.
func SharedReason(reason string) string {
	if slices.Contains(outReasons, reason) {
		return reason
	}
	return "other"
}

// OutReason is that reason in words.
func OutReason(reason string) Line { return Say("reason.out."+SharedReason(reason), nil) }
