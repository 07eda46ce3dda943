package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// Exit codes of "bot check".
const (
	checkGo         = 0
	checkBadInput   = exitUsage
	checkLimits     = 3
	checkNoGo       = 4
	checkNotCleared = 5
)

// runCheck is "bot check": one diver's gas against one plan, without a store.
func runCheck(args []string, stdout, stderr io.Writer) int {
	in, err := readCheck(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		checkUsage(stdout)
		return checkGo
	case err != nil:
		fmt.Fprintf(stderr, "bot check: %s\n", strings.ReplaceAll(err.Error(), "\n", "; "))
		return checkBadInput
	}
	v := in.check()
	if in.json {
		err = writeCheckJSON(stdout, in, v)
	} else {
		err = writeCheckText(stdout, in, v)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot check: %v\n", err)
		return exitError
	}
	return checkExit(v.status())
}

func checkExit(s gas.Status) int {
	switch s {
	case gas.Go:
		return checkGo
	case gas.GoWithLimits:
		return checkLimits
	case gas.NoGo:
		return checkNoGo
	default:
		return checkNotCleared
	}
}

// checkInput is what the flags said.
type checkInput struct {
	policy     gas.Policy
	o2         gas.Percent
	asked      gas.Percent
	airPoint   gas.Percent
	celsius    *float64 // of the air that the analyser was calibrated in
	humidity   *float64
	co         gas.Amount
	noCard     bool
	dive       gas.Dive
	depthLimit gas.Depth
	next       []nextDive
	units      string // of what is shown; "" for that of the depth
	lang       string
	why        bool
	json       bool
}

// nextDive is one --next: a later dive and the gas for it, 0 for the first one's.
type nextDive struct {
	interval, minutes float64
	depth             gas.Depth
	o2                gas.Percent
}

// weather is known when both its numbers are.
func (in checkInput) weather() gas.Weather {
	if in.celsius == nil || in.humidity == nil {
		return gas.Weather{}
	}
	return gas.Weather{Celsius: *in.celsius, Humidity: *in.humidity, Known: true}
}

// analysed is the moment of the analysis: a check alone knows no other.
var analysed = time.Unix(0, 0)

// found is what one analysis by the analyser of the flags comes to.
func (in checkInput) found(d checkedDive) gas.Evidence {
	r := evidence.Reading{ID: "1", Nth: 1, Place: "1", Of: "1", By: "1", Percent: d.o2, Said: analysed, Taken: analysed,
		AirPoint: in.airPoint, Weather: in.weather(), Altitude: in.dive.Place.Altitude}
	if d.o2 == d.asked {
		r.Shown = gas.ShownDecimals // nobody is there to be asked whether the analyser showed it
	}
	h := evidence.History{Readings: []evidence.Reading{r}, Holders: []evidence.Holder{{Diver: "1", Place: "1"}}}
	if in.co.Known && d.Number == 1 {
		h.COs = []evidence.Monoxide{{Moment: evidence.Moment{At: analysed, Nth: 2}, Place: "1", PPM: in.co.Value}}
	}
	return evidence.Find(&h, &evidence.Case{Diver: "1", Place: "1", FreshFor: time.Hour, Start: analysed, Now: analysed,
		Asked: []evidence.Asked{{Percent: d.asked}}, TellShop: in.policy.TellShop})
}

// dives are the plan and the later ones; an absent gas is the first one's.
func (in checkInput) dives() []checkedDive {
	dives := []checkedDive{{Dive: in.dive, o2: in.o2, asked: in.asked}}
	for i, n := range in.next {
		d := in.dive
		d.Number, d.Depth, d.Minutes, d.Interval = i+2, n.depth, n.minutes, n.interval
		d.Bottom, d.Bottomless = gas.Depth{}, false
		if !n.o2.Known() {
			n.o2 = in.o2
		}
		dives = append(dives, checkedDive{Dive: d, o2: n.o2})
	}
	return dives
}

// checkedDive is one dive with its gas, and what the check says of it.
type checkedDive struct {
	gas.Dive
	o2, asked gas.Percent
	verdict   gas.Verdict
}

// numbers are those of its one cylinder.
func (d checkedDive) numbers() gas.Numbers { return d.verdict.Numbers[0] }

// checked is the day, in order.
type checked []checkedDive

// check holds each dive against the rules; an earlier one counts as planned.
func (in checkInput) check() checked {
	day := checked(in.dives())
	var before []gas.Leg
	for i := range day {
		d := &day[i]
		c := gas.Cylinder{Key: "1", Asked: d.asked, Claims: 1, Evidence: in.found(*d)}
		diver := gas.Diver{Card: gas.CardSeen, DepthLimit: in.depthLimit, Dive: d.Dive, Before: before,
			Cylinders: []gas.Cylinder{c}}
		if in.noCard {
			diver.Card = gas.CardNone
		}
		d.verdict = gas.Assess(in.policy, diver)
		if in.dive.Minutes == 0 {
			untimed(d.verdict.Findings)
		}
		before = append(before, gas.Leg{Number: d.Number, Place: d.Place, Depth: d.Depth, Minutes: d.Minutes,
			Interval: d.Interval,
			Rich:     c.Rich, Lean: c.Lean})
	}
	return day
}

// untimed takes back what asks for the first dive's minutes: without --time
// there are no limits from time, on later dives neither.
func untimed(findings []gas.Finding) {
	for i := range findings {
		f := &findings[i]
		if f.Severity == gas.Missing && (f.Rule == gas.RuleNoStop || f.Rule == gas.RuleOxygenClock) {
			f.Severity = gas.NotApplicable
		}
	}
}

// status is the worst of all dives.
func (day checked) status() gas.Status {
	worst := gas.Go
	for i := range day {
		worst = gas.Worse(worst, day[i].verdict.Status())
	}
	return worst
}

// findings are those of all dives.
func (day checked) findings() []gas.Finding {
	var all []gas.Finding
	for i := range day {
		all = append(all, day[i].verdict.Findings...)
	}
	return all
}

// reasons are what is more than a pass, of all dives, gravest first.
func (day checked) reasons() []gas.Finding {
	all := gas.Verdict{Findings: day.findings()}
	return all.Reasons()
}

// max is the diver's max on the first dive in a unit.
func (in checkInput) max(n gas.Numbers, u gas.Unit) gas.Depth {
	return gas.Max(u, n.Label, in.depthLimit, in.policy.Deepest)
}
