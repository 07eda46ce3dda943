package sim

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// Difference is one value that the product and the judge see differently.
type Difference struct {
	What string // the same for the same value of anybody
	Who  roster.PersonID
	Dive int
	Got  string // the product's
	Want string // the judge's
}

func (d Difference) String() string {
	at := d.What
	if d.Dive != 0 {
		at += fmt.Sprint(", dive ", d.Dive)
	}
	if d.Who != "" {
		at += ", " + string(d.Who)
	}
	return fmt.Sprintf("%s: product %s, judge %s", at, d.Got, d.Want)
}

// comparison collects what differs: what was found of the cylinders first, then what follows from it.
type comparison struct {
	p     *product
	read  *roster.Draft // remembers the boards that it was asked for
	now   time.Time
	dive  int
	found []Difference
}

// hold holds one value against the other.
func hold[T comparable](c *comparison, what string, who roster.PersonID, got, want T) {
	if got != want {
		c.differ(what, who, got, want)
	}
}

// holdAll holds one list against the other.
func holdAll[T comparable](c *comparison, what string, who roster.PersonID, got, want []T) {
	if !slices.Equal(got, want) {
		c.differ(what, who, got, want)
	}
}

func (c *comparison) differ(what string, who roster.PersonID, got, want any) {
	c.found = append(c.found, Difference{what, who, c.dive, fmt.Sprint(got), fmt.Sprint(want)})
}

// compare holds every clearance, every board and every signature of the product against the judge's.
func (p *product) compare(want judge.Verdicts, now time.Time) []Difference {
	c := &comparison{p: p, read: roster.Change(p.trip), now: now}
	for i := range want.Dives {
		v := &want.Dives[i]
		c.dive = v.Dive
		b := c.read.Board(v.Dive, now)
		c.people(b, v)
		c.carried(v)
		c.board(b, v)
		c.refused(v)
	}
	c.dive = 0
	c.signatures(want.Signatures)
	return c.found
}

func (c *comparison) people(b roster.Board, v *judge.DiveVerdict) {
	if len(b.People) != len(v.Divers) {
		hold(c, "people on the board", "", len(b.People), len(v.Divers))
		return
	}
	for i := range v.Divers {
		got, want := &b.People[i], &v.Divers[i]
		if who := c.p.people.day[got.Person]; who != want.Person {
			hold(c, "order of the board", "", who, want.Person)
			return
		}
		c.clearance(got, want, v.Dived)
	}
}

func (c *comparison) clearance(got *roster.Clearance, want *judge.DiverVerdict, dived bool) {
	away := want.Status == judge.StatusOut || want.Status == judge.StatusOutside
	if !dived {
		c.evidence(got, want)
	}
	if !away {
		c.rules(got, want)
	}
	hold(c, "status", want.Person, got.State(), want.Status.String())
	goes := want.Status == judge.StatusGo || want.Status == judge.StatusLimits
	if goes {
		hold(c, "max depth", want.Person, got.Max.Value, float64(want.MaxDepth))
		hold(c, "max minutes", want.Person, got.MaxMinutes, float64(want.MaxMinutes))
	} else if got.Max.Known() && !away {
		hold(c, "max depth of who may not dive", want.Person, got.Max.Value, float64(want.Ceiling))
	}
	holdAll(c, "needs", want.Person, needs(got.Needs), needs(want.Needs))
}

// leftBehind tells whether a cylinder that is not in use for the dive left its findings there: what it takes to
// clear that is a leader's word, whatever else it owes.
func (c *comparison) leftBehind(want *judge.DiverVerdict) bool {
	return want.Rules[judge.RuleNoCylinder] == judge.NotCleared ||
		slices.ContainsFunc(want.Cylinders, func(w judge.CylinderVerdict) bool {
			cylinder := c.p.inUse(c.p.trip, w.Cylinder)
			return w.Left || cylinder == nil || cylinder.Dive != c.dive || !cylinder.Retired.IsZero()
		})
}

// needs are the words of what somebody owes. Which kind of analysis it takes is a matter of words: any of the three.
func needs[N ~string](list []N) []string {
	var words []string
	for _, n := range list {
		word := string(n)
		if word == "witness" || word == "air-point" {
			word = "reading"
		}
		words = append(words, word)
	}
	slices.Sort(words)
	return slices.Compact(words)
}

// rules compares what each rule found, the worst over all cylinders.
func (c *comparison) rules(got *roster.Clearance, want *judge.DiverVerdict) {
	for _, rule := range allRules {
		g, w := got.Verdict.SeverityOf(gas.Rule(rule)).String(), want.Rules[rule].String()
		if g != w && (grave(g) || grave(w)) && !c.passed(rule, g, w, want) {
			c.differ("rule "+string(rule), want.Person, g, w)
		}
	}
}

// grave are the severities that somebody hears of. A rule that was not asked is as good as one that passed.
func grave(severity string) bool { return severity != "pass" && severity != "not-applicable" }

var allRules = []judge.Rule{judge.RuleQuestion, judge.RuleSpeak, judge.RuleLeft, judge.RuleNoCylinder,
	judge.RuleSameCylinder,
	judge.RuleAirPoint, judge.RuleStale, judge.RuleMeasured, judge.RuleImproved, judge.RuleNoReading,
	judge.RuleOutOfRange, judge.RuleDepth, judge.RuleDeepest,
	judge.RuleContingency, judge.RuleThinMargin, judge.RuleNoStop, judge.RuleOxygenClock, judge.RuleRepeat,
	judge.RuleAsked,
	judge.RuleLean, judge.RuleHumidAir, judge.RuleAirIsNotAir, judge.RuleCard, judge.RuleCarbonMonoxide, judge.RuleTeam,
	judge.RuleOwnLimit, judge.RuleDepthLimit,
	judge.RuleOwnTables, judge.RuleBottom}

// evidence compares what was found of each cylinder.
func (c *comparison) evidence(got *roster.Clearance, want *judge.DiverVerdict) {
	for _, w := range want.Cylinders {
		cylinder := c.p.inUse(c.p.trip, w.Cylinder)
		if w.Left || cylinder == nil || cylinder.Dive != c.dive || !cylinder.Retired.IsZero() {
			continue // left behind: what follows from it is compared
		}
		g := c.p.trip.Evidence(cylinder.ID, c.now)
		holdAll(c, "counting", want.Person, c.values(g.Counting), ids(w.Counting))
		holdAll(c, "compared", want.Person, c.values(g.Compared), ids(w.Compared))
		hold(c, "unsettled", want.Person, g.Unsettled, w.Unsettled)
		hold(c, "rich", want.Person, round(float64(g.Rich)), round(w.Rich))
		hold(c, "lean", want.Person, round(float64(g.Lean)), round(w.Lean))
	}
}

func round(v float64) float64 { return math.Round(v*1e6) / 1e6 }

func (c *comparison) values(list []gas.Value) []string {
	var names []string
	for _, v := range list {
		names = append(names, string(c.p.readings.day[roster.ReadingID(v.ID)]))
	}
	slices.Sort(names)
	return names
}

func ids(list []roster.ReadingID) []string {
	var names []string
	for _, id := range list {
		names = append(names, string(id))
	}
	slices.Sort(names)
	return names
}

func (c *comparison) board(b roster.Board, v *judge.DiveVerdict) {
	hold(c, "dived", "", b.Dived, v.Dived)
	hold(c, "counts", "", judge.Counts{Go: b.Counts.Go, Limits: b.Counts.Limits, NoGo: b.Counts.NoGo,
		NotCleared: b.Counts.NotCleared,
		Outside:    b.Counts.Outside, Out: b.Counts.Out}, v.Counts)
	hold(c, "board's status", "", b.Status.String(), v.Status.String())
	hold(c, "group", "", c.tightest(b.Group), v.Group)
	var teams []judge.TeamVerdict
	for _, t := range b.Teams {
		if !slices.ContainsFunc(v.Teams, func(w judge.TeamVerdict) bool { return w.Team == t.Team }) {
			continue // nobody of it dives
		}
		teams = append(teams, judge.TeamVerdict{Team: t.Team, Group: c.tightest(t.Tightest)})
	}
	holdAll(c, "teams", "", teams, v.Teams)
}

func (c *comparison) tightest(t roster.Tightest) judge.Group {
	return judge.Group{MaxDepth: int(t.MaxDepth.Value), DepthBy: c.p.people.day[t.DepthBy], MaxMinutes: int(t.MaxMinutes),
		TimeBy: c.p.people.day[t.TimeBy]}
}

// refused compares why a leader's sign-off would be refused.
func (c *comparison) refused(v *judge.DiveVerdict) {
	leaders := c.p.trip.Leaders()
	i := slices.IndexFunc(leaders, func(l *roster.Person) bool { return l.Left.IsZero() })
	if i < 0 {
		return
	}
	var got, want []string
	for _, r := range c.read.Refusals(v.Dive, leaders[i].ID, c.now) {
		var who []roster.PersonID
		for _, p := range r.People {
			who = append(who, c.p.people.day[p])
		}
		got = append(got, fmt.Sprint(r.Why, who))
	}
	for _, r := range v.Refused {
		want = append(want, fmt.Sprint(r.Why, r.Who))
	}
	slices.Sort(got)
	slices.Sort(want)
	holdAll(c, "refusals", "", got, want)
}

func (c *comparison) signatures(want []judge.SignatureVerdict) {
	if len(c.p.trip.SignOffs) != len(want) {
		hold(c, "signatures", "", len(c.p.trip.SignOffs), len(want))
		return
	}
	for i := range want {
		got := &c.p.trip.SignOffs[i]
		standing := c.p.trip.Standing(got, c.now)
		c.dive = want[i].Dive
		hold(c, "signed by", "", c.p.people.day[got.By], want[i].By)
		if g, w := string(standing.State), string(want[i].State); g != w {
			g += differs(standing.Differs)
			c.found = append(c.found, Difference{"signature " + w, want[i].By, c.dive, g, w + " " + want[i].Differs})
		}
		if b := standing.Differs; b != nil && want[i].State == judge.Broken && !sameFact(b.What, want[i].Differs) {
			c.differ("why a signature is broken", want[i].By, b.What, want[i].Differs)
		}
	}
}

// sameFact tells whether both name a fact of the plan, of the policy or start, or of a person.
func sameFact(got, want string) bool {
	inPlan := slices.Contains([]string{roster.FactSite, roster.FactDepth, roster.FactBottom, roster.FactMinutes,
		roster.FactWater, roster.FactAltitude, roster.FactInterval}, got)
	ofTrip := strings.HasPrefix(got, roster.FactPolicy) || got == roster.FactStart
	switch want {
	case "plan":
		return inPlan
	case "policy", "start":
		return ofTrip
	}
	return !inPlan && !ofTrip
}

func differs(b *roster.Broken) string {
	if b == nil {
		return ""
	}
	return fmt.Sprint(" ", b.Person, " ", b.What, ": ", b.Was, " -> ", b.Now)
}
