package sim

import (
	"fmt"

	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// "No clearance greener except by what may improve it." Time passing is nothing that may.
func betterByTime(was, is judge.Verdicts) *Disagreement {
	return better("greener by time alone", was, is, func(roster.PersonID) bool { return false })
}

func betterWithout(was, is judge.Verdicts, may func(roster.PersonID) bool) *Disagreement {
	return better("greener by what may not improve it", was, is, may)
}

func better(what string, was, is judge.Verdicts, may func(roster.PersonID) bool) *Disagreement {
	for i, v := range is.Dives {
		for j, c := range v.Divers {
			if i >= len(was.Dives) || j >= len(was.Dives[i].Divers) || v.Dived || was.Dives[i].Dived {
				continue
			}
			w := was.Dives[i].Divers[j]
			if w.Person == c.Person && judge.Greener(w, c) && !may(c.Person) {
				return &Disagreement{Differences: []Difference{{What: what, Who: c.Person, Dive: v.Dive,
					Got:  fmt.Sprint(c.Status, " ", weighty(c)),
					Want: fmt.Sprint("as before: ", w.Status, " ", weighty(w))}}}
			}
		}
	}
	return nil
}

// weighty are the rules that found more than a note.
func weighty(c judge.DiverVerdict) map[judge.Rule]string {
	found := map[judge.Rule]string{}
	for r, s := range c.Rules {
		if s == judge.Undefined || s > judge.Note {
			found[r] = s.String()
		}
	}
	return found
}
