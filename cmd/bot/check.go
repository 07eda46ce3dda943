package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"gasmuster/internal/gas"
)

// Exit codes of "bot check".
const (
	checkGo        = 0
	checkBadInput  = exitUsage
	checkLimits    = 3
	checkNoGo      = 4
	checkNoReading = 5
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
	v := gas.Assess(in.policy, in.diver(), time.Now())
	if in.json {
		err = writeCheckJSON(stdout, in, v)
	} else {
		err = writeCheckText(stdout, in, v)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot check: %v\n", err)
		return exitError
	}
	return checkExit(v.Status())
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
		return checkNoReading
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

// reading is one analysis by the analyser of the flags.
func (in checkInput) reading(o2 gas.Percent) []gas.Reading {
	return []gas.Reading{{Percent: o2, By: gas.ByDiver, AirPoint: in.airPoint, Weather: in.weather()}}
}

// diver is the check's subject: one cylinder for each dive.
func (in checkInput) diver() gas.Diver {
	d := gas.Diver{Card: gas.CardSeen, DepthLimit: in.depthLimit}
	if in.noCard {
		d.Card = gas.CardNone
	}
	first := gas.Cylinder{Key: "1", Asked: in.asked, Claims: 1, Dive: in.dive, CO: in.co, Readings: in.reading(in.o2)}
	d.Cylinders = append(d.Cylinders, first)
	for i, n := range in.next {
		dive := in.dive
		dive.Number, dive.Depth, dive.Minutes, dive.Interval = i+2, n.depth, n.minutes, n.interval
		dive.Bottom, dive.Bottomless = gas.Depth{}, false
		o2 := n.o2
		if !o2.Known() {
			o2 = in.o2
		}
		d.Cylinders = append(d.Cylinders, gas.Cylinder{Key: fmt.Sprint(i + 2), Claims: 1, Dive: dive, Readings: in.reading(o2)})
	}
	return d
}
