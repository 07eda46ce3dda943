package telegram

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// forged are presses of every kind of button, with what real ones carry and
// with what they never would.
var forged = []string{
	"", "nosuch", "undo r6", "which c3", "which new", "again correct", "again again", "ask c3 31", "ask c5 99",
	"boat all kept", "boat c3 kept",
	"boat c5 out-of-sight", "units ft", "language de", "leave yes", "leave no", "forget yes", "forget no",
	"talk " + string(theirs), "talk " + string(ours),
	"label c3", "label none c3", "mean reading", "mean label", "mean reading q1", "mean label q1", "mean air",
	"shown r6 decimals", "shown r6 whole", "shown r6 no", "analyser 0", "analyser unknown",
	"air unknown", "before yes", "before no", "return", "swap", "swap c3", "have 1", "have 2 c3", "refill", "refill c3",
	"pass", "gas", "howto", "reopen yes",
	"lwho p2", "board", "lnudge", "lboat", "lcyl c3", "lcal yes", "lundo r6", "lsite 1", "lbottom none", "lsitesure yes",
	"lswap c3", "lcard p4",
	"lnocard", "lcardby", "lcardby p2", "lcardback p4", "lreplan c3", "lsign", "lsigned 1 abcdef", "lnotsigned",
	"undo r6 r6 r6", "undo\u00a0r6",
	"more c3", "more c99", "qback q1", "qask q1", "tell", "help", "lwatch c3", "lfor p2", "lout p2 1", "lout p2 1 gas",
	"loutside p2", "lmax p2 1", "lslip p2", "lslip p2 w9", "lslip p2 w1 w2",
	"lbring p2", "lkept p2", "lmore 1", "queue", "lmoved c3 1", "lseries", "ldived 1 ask 0", "ldived 1 yes 0",
	"ldived 1 back 0", "ldived 99 yes", "ldived 1 early yes", "lout p2 0 gear", "lout p2 0", "lconsent yes", "lconsent no",
	"lpostpone at 1810000000", "lpostpone at x",
	"lrevoke p2", "lrevoke p4 x", "lnotrevoked", "lsigned 9999999999999999999 x", "which c-1", strings.Repeat("undo ", 12),
	"gin n1 seen", "gall seen", "gno n1", "gshut 1", "gnew 1", "ladd card 30", "llead p2 instead", "llead p2 too",
	"llead p2 diver",
	"lcalloff yes", "lputon",
	"lpostpone 30", "ldrop yes", "take ok p2", "take no", "dlog 1", "lup 1 now", "lup 1 unknown", "lphoto r6 yes",
}

// Whatever a forged client lets a button carry: the press is answered, no trip
// that the presser isn't on is touched, no reading is made up, and a diver
// changes nothing of anybody else.
func FuzzCallbacks(f *testing.F) {
	for i, do := range forged {
		f.Add(uint8(i), uint8(i/6), do)
		f.Add(uint8(1), uint8(0), do)
	}
	f.Add(uint8(0), uint8(2), "|undo r6")
	f.Add(uint8(1), uint8(2), string(theirs)+"|"+string(ours)+"|undo r6")
	s := newSea(f)
	pressers := []int64{ines, tomasz, marit, aoife, kenji, stranger}
	f.Fuzz(func(t *testing.T, who, trip uint8, do string) {
		s.t = t
		account := pressers[int(who)%len(pressers)]
		data := do
		if front := []roster.TripID{ours, theirs, ""}[int(trip)%3]; front != "" {
			data = writeData(front, do)
		}
		s.restore()
		before := map[roster.TripID]roster.Loaded{ours: s.load(ours), theirs: s.load(theirs)}
		s.press(account, data)
		if len(s.said(account)) == 0 {
			t.Errorf("%d pressed %q and was not answered", account, data)
		}
		for id, was := range before {
			checkPressed(t, seats[account], was.Trip, s.load(id).Trip)
		}
	})
}

// checkPressed compares a trip before and after somebody pressed something.
func checkPressed(t *testing.T, who roster.Seat, was, is *roster.Trip) {
	t.Helper()
	if who.Trip != was.ID && !bytes.Equal(asBytes(t, was), asBytes(t, is)) {
		t.Errorf("trip %s was changed by somebody who isn't on it", was.ID)
	}
	known := map[gas.Percent]bool{}
	for _, p := range was.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				known[r.Percent] = true
			}
		}
	}
	for _, p := range is.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				if !known[r.Percent] {
					t.Errorf("a button made the reading %v", r.Percent)
				}
			}
		}
		leader := is.Person(who.Person) != nil && is.Person(who.Person).Leader
		if p.ID == who.Person || leader {
			continue
		}
		if a, b := ownOf(t, was.Person(p.ID)), ownOf(t, p); !slices.Equal(a, b) {
			t.Errorf("what %s holds was changed by %s:\n%s\n%s", p.ID, who.Person, a, b)
		}
	}
}

// ownOf is what of a person only that person, a leader or the shop may change.
func ownOf(t *testing.T, p *roster.Person) []byte {
	t.Helper()
	return asBytes(t, []any{p.Name, p.Card, p.DepthLimit, p.Limits, p.Team, p.Language, p.Units, p.Addresses, p.Generation,
		p.Joined, p.Left, p.Outs, p.Erased, p.DivedBefore, p.Analyser, p.Cylinders})
}
