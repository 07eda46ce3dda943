package sim

import (
	"fmt"
	"strings"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// What everybody hears of the trip as a whole.

// tripIsHeard: "Called off or moved: everybody hears it, reminders stop." What was said aloud everybody is told, once.
func (v *voice) tripIsHeard() {
	was, is := v.before, v.trip
	if was == nil {
		return
	}
	if v.aloud != nil {
		v.everybodyHears(was.CalledOff == nil && is.CalledOff != nil, "calloff.told")
		v.everybodyHears(was.CalledOff != nil && is.CalledOff == nil, "calloff.on")
		v.everybodyHears(len(is.Dives) < len(was.Dives), "drop.told")
		v.everybodyHears(!is.Departs.Equal(was.Departs), "shop.departs")
	}
	if was.CalledOff != nil && is.CalledOff != nil {
		v.nobodyIsReminded()
	}
}

func (v *voice) everybodyHears(happened bool, key string) {
	if !happened {
		return
	}
	for _, p := range v.before.People {
		can := !p.Joined.IsZero() && p.Left.IsZero() && p.Unreachable == "" && !p.Erased
		if n := v.times(p.ID, key); can && p.ID != v.actor && n != 1 {
			v.wrong("not told once: "+key, p.ID, fmt.Sprint(n, " times"), "once")
		}
	}
}

// times is how often somebody was told something in the last change.
func (v *voice) times(who roster.PersonID, key string) int {
	n := 0
	for _, l := range v.letters {
		if l.Person == who && says(l, key) {
			n++
		}
	}
	return n
}

func says(l conversation.Letter, key string) bool {
	for _, line := range l.Message.Lines {
		if line.Key == key {
			return true
		}
	}
	return false
}

func (v *voice) nobodyIsReminded() {
	for _, l := range v.letters {
		for _, line := range l.Message.Lines {
			if strings.HasPrefix(line.Key, "remind.") {
				v.wrong("a reminder of a trip that is called off", l.Person, line.Key, "nothing")
			}
		}
	}
}
