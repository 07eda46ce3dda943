package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// The ends of what "bot check" takes. A plan below 100 m is no plan for one
// gas, and the rest only keeps slips of the keyboard out.
const (
	deepestPlan   = 100 // m
	deepestBottom = 300 // m
	longestTime   = 600 // min
	longestBreak  = 2880
	highestLake   = 5000 // m
	mostCO        = 10000
	coldest       = -40 // Celsius
	hottest       = 60
)

// checkFlag is one flag: what it accepts, in words, and where its value goes.
type checkFlag struct {
	name, accepted string
	set            func(in *checkInput, s string) bool
	many, given    bool
}

// checkValue is a flag of one command line.
type checkValue struct {
	*checkFlag
	in *checkInput
}

// String is empty: no flag has a default worth showing.
func (v checkValue) String() string { return "" }

// Set reads the flag's value; the error says what would have been accepted.
func (v checkValue) Set(s string) error {
	if v.given && !v.many {
		return errors.New("it was given twice; accepted: once")
	}
	v.given = true
	if !v.set(v.in, strings.TrimSpace(s)) {
		return fmt.Errorf("accepted: %s", v.accepted)
	}
	return nil
}

// checkFlags are all flags but --json.
func checkFlags() []*checkFlag {
	def := gas.DefaultPolicy(gas.Metres)
	return []*checkFlag{
		{name: "o2", accepted: "the measured percentage from 1 to 100, such as 32.4",
			set: percentTo(func(in *checkInput) *gas.Percent { return &in.o2 })},
		{name: "depth", accepted: "a depth with its unit, more than 0 and up to 100 m, such as 27.5m or 90ft",
			set: depthTo(deepestPlan, func(in *checkInput) *gas.Depth { return &in.dive.Depth })},
		{name: "bottom", accepted: "a depth with its unit up to 300 m, such as 36m, or none for no bottom in reach",
			set: setBottom},
		{name: "asked", accepted: "the requested percentage from 1 to 100, such as 32, or air", set: setAsked},
		{name: "time", accepted: "minutes from leaving the surface until starting up, more than 0 and up to 600, such as 22",
			set: numberTo(0, longestTime, true, func(in *checkInput) *float64 { return &in.dive.Minutes })},
		{name: "water", accepted: "salt or fresh", set: setWater},
		{name: "altitude", accepted: "a height with its unit from 0 to 5000 m, such as 300m or 1000ft", set: setAltitude},
		{name: "ppo2", accepted: "1.0 to 1.4 atm",
			set: numberTo(1, 1.4, false, func(in *checkInput) *float64 { return (*float64)(&in.policy.PPO2) })},
		{name: "ppo2-max", accepted: "1.0 to 1.6 atm, not below --ppo2",
			set: numberTo(1, 1.6, false, func(in *checkInput) *float64 { return (*float64)(&in.policy.PPO2Max) })},
		{name: "max-o2", accepted: "22 to 40 percent",
			set: numberTo(22, float64(def.MaxO2), false, func(in *checkInput) *float64 { return (*float64)(&in.policy.MaxO2) })},
		{name: "gf", accepted: "30 to 95 percent",
			set: numberTo(30, 95, false, func(in *checkInput) *float64 { return &in.policy.GF })},
		{name: "card", accepted: "yes or no: whether the diver has an enriched-air card", set: setCard},
		{name: "air-point", accepted: "what the analyser shows in fresh air, percent from 1 to 100, such as 20.8",
			set: percentTo(func(in *checkInput) *gas.Percent { return &in.airPoint })},
		{name: "air-temp", accepted: "the air's temperature in Celsius from -40 to 60, such as 30; counts with --humidity",
			set: setCelsius},
		{name: "humidity", accepted: "the air's relative humidity from 0 to 100 percent, such as 80; counts with --air-temp",
			set: setHumidity},
		{name: "co", accepted: "measured carbon monoxide from 0 to 10000 ppm, such as 2", set: setCO},
		{name: "depth-limit", accepted: "the qualification's depth with its unit, up to 100 m, such as 30m",
			set: depthTo(deepestPlan, func(in *checkInput) *gas.Depth { return &in.depthLimit })},
		{name: "deepest", accepted: "the deepest depth that anybody may plan, from 18m to 60m",
			set: depthTo(deepestPlan, func(in *checkInput) *gas.Depth { return &in.policy.Deepest })},
		{name: "next", accepted: "interval, depth, minutes and perhaps O2 of a later dive, such as 60,18m,40 or " +
			"60,18m,40,36; may be repeated",
			set: setNext, many: true},
		{name: "units", accepted: "m or ft, of what is shown", set: setUnits},
		{name: "lang", accepted: languages(), set: setLang},
	}
}

func languages() string { return strings.Join(message.Languages(), ", ") }

// readCheck reads the command line. Every problem with a value names the flag,
// the value and what is accepted.
func readCheck(args []string) (checkInput, error) {
	in := checkInput{policy: gas.DefaultPolicy(gas.Metres), lang: "en", dive: gas.Dive{Number: 1}}
	in.policy.Deepest = gas.Depth{} // not given
	f := flag.NewFlagSet("check", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	flags := checkFlags()
	for _, c := range flags {
		f.Var(checkValue{c, &in}, c.name, c.accepted)
	}
	f.BoolVar(&in.json, "json", false, "print one JSON object")
	f.BoolVar(&in.why, "why", false, "list every rule")
	if err := f.Parse(args); err != nil {
		return in, flagError(err)
	}
	if f.NArg() > 0 {
		return in, fmt.Errorf("%q is no flag; accepted: %s", f.Arg(0), flagNames())
	}
	in.dive.Place.Unit = in.dive.Depth.Unit
	return in, in.problems(flags)
}

// flagError words an error of package flag as everything else here does.
func flagError(err error) error {
	text := strings.ReplaceAll(err.Error(), "for flag -", "for --")
	if name, unknown := strings.CutPrefix(text, "flag provided but not defined: "); unknown {
		return fmt.Errorf("%s is not a flag; accepted: %s", dashes(name), flagNames())
	}
	if name, bare := strings.CutPrefix(text, "flag needs an argument: "); bare {
		return fmt.Errorf("%s needs a value; accepted: %s", dashes(name), acceptedBy(strings.TrimLeft(name, "-")))
	}
	if errors.Is(err, flag.ErrHelp) {
		return err
	}
	return errors.New(text)
}

func dashes(name string) string { return "--" + strings.TrimLeft(name, "-") }

func acceptedBy(name string) string {
	for _, c := range checkFlags() {
		if c.name == name {
			return c.accepted
		}
	}
	return "see bot check -h"
}

func flagNames() string {
	var names []string
	for _, c := range checkFlags() {
		names = append(names, "--"+c.name)
	}
	return strings.Join(append(names, "--why", "--json"), ", ")
}

// problems are what is wrong with values together.
func (in checkInput) problems(flags []*checkFlag) error {
	var errs []error
	for _, c := range flags {
		if !c.given && (c.name == "o2" || c.name == "depth") {
			errs = append(errs, fmt.Errorf("--%s is required; accepted: %s", c.name, c.accepted))
		}
	}
	for _, f := range in.policy.Faults() {
		errs = append(errs, fmt.Errorf("--%s: %w", strings.ReplaceAll(f.Field, "_", "-"), f))
	}
	if b := in.dive.Bottom; b.Known() && in.dive.Depth.DeeperThan(b) {
		errs = append(errs, fmt.Errorf("--bottom %v is shallower than --depth %v; accepted: the planned depth or deeper, "+
			"or none", b, in.dive.Depth))
	}
	return errors.Join(errs...)
}

// checkUsage lists the flags in the order in which people think of them.
func checkUsage(w io.Writer) {
	fmt.Fprintln(w, "usage: bot check --o2 PERCENT --depth DEPTH [flags]")
	for _, c := range checkFlags() {
		fmt.Fprintf(w, "  --%-12s %s\n", c.name, c.accepted)
	}
	fmt.Fprintf(w, "  --%-12s %s\n", "why", "list every rule, not the reasons alone")
	fmt.Fprintf(w, "  --%-12s %s\n", "json", "print one JSON object instead of text")
	fmt.Fprintln(w, "exit status: 0 go, 3 go with limits, 4 no-go, 5 not cleared, 2 bad input")
	fmt.Fprintln(w, "Decision support only: the diver who breathes the gas stays responsible for it.")
}

// number reads digits with at most one decimal point or comma: no sign, no
// exponent, no NaN.
func number(s string) (float64, bool) {
	if s == "" || strings.Trim(s, "0123456789.,") != "" || strings.Count(s, ".")+strings.Count(s, ",") > 1 {
		return 0, false
	}
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, ",") || strings.HasSuffix(s, ".") || strings.HasSuffix(s, ",") {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return v, err == nil
}

func numberTo(lo, hi float64, above bool, at func(*checkInput) *float64) func(*checkInput, string) bool {
	return func(in *checkInput, s string) bool {
		v, ok := number(s)
		*at(in) = v
		return ok && v >= lo && v <= hi && !(above && v == lo)
	}
}

func percent(s string) (gas.Percent, bool) {
	v, ok := number(strings.TrimSpace(strings.TrimSuffix(s, "%")))
	return gas.Percent(v), ok && v >= 1 && v <= 100
}

func percentTo(at func(*checkInput) *gas.Percent) func(*checkInput, string) bool {
	return func(in *checkInput, s string) bool {
		v, ok := percent(s)
		*at(in) = v
		return ok
	}
}

// depth reads a length with its unit, at most so many metres.
func depth(s string, most float64) (gas.Depth, bool) {
	var u gas.Unit
	low := strings.ToLower(s)
	digits, metres := strings.CutSuffix(low, "m")
	if !metres {
		var feet bool
		if digits, feet = strings.CutSuffix(low, "ft"); !feet {
			return gas.Depth{}, false
		}
		u = gas.Feet
	}
	v, ok := number(strings.TrimSpace(digits))
	d := gas.Depth{Value: v, Unit: u}
	return d, ok && d.Metres() <= most
}

func depthTo(most float64, at func(*checkInput) *gas.Depth) func(*checkInput, string) bool {
	return func(in *checkInput, s string) bool {
		d, ok := depth(s, most)
		*at(in) = d
		return ok && d.Known()
	}
}

func setBottom(in *checkInput, s string) bool {
	if strings.EqualFold(s, "none") {
		in.dive.Bottomless = true
		return true
	}
	return depthTo(deepestBottom, func(in *checkInput) *gas.Depth { return &in.dive.Bottom })(in, s)
}

func setAsked(in *checkInput, s string) bool {
	if strings.EqualFold(s, "air") {
		in.asked = gas.Air
		return true
	}
	return percentTo(func(in *checkInput) *gas.Percent { return &in.asked })(in, s)
}

// setCelsius is the one number that may be negative.
func setCelsius(in *checkInput, s string) bool {
	digits, below := strings.CutPrefix(s, "-")
	v, ok := number(digits)
	if below {
		v = -v
	}
	in.celsius = &v
	return ok && v >= coldest && v <= hottest
}

func setHumidity(in *checkInput, s string) bool {
	v, ok := number(strings.TrimSuffix(s, "%"))
	in.humidity = &v
	return ok && v <= 100
}

func setCO(in *checkInput, s string) bool {
	v, ok := number(s)
	in.co = gas.Of(v)
	return ok && v <= mostCO
}

func setWater(in *checkInput, s string) bool {
	return s != "" && in.dive.Place.Water.UnmarshalText([]byte(s)) == nil
}

func setAltitude(in *checkInput, s string) bool {
	d, ok := depth(s, highestLake)
	in.dive.Place.Altitude = d.Metres()
	return ok
}

func setCard(in *checkInput, s string) bool {
	in.noCard = strings.EqualFold(s, "no")
	return in.noCard || strings.EqualFold(s, "yes")
}

func setUnits(in *checkInput, s string) bool {
	in.units = strings.ToLower(s)
	return in.units == "m" || in.units == "ft"
}

func setLang(in *checkInput, s string) bool {
	in.lang = strings.ToLower(s)
	return slices.Contains(message.Languages(), in.lang)
}

// setNext reads one later dive. The comma parts its fields, so decimals take a
// point here.
func setNext(in *checkInput, s string) bool {
	parts := strings.Split(s, ",")
	if len(parts) != 3 && len(parts) != 4 {
		return false
	}
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	n, ok := nextDive{}, make([]bool, 4)
	n.interval, ok[0] = number(parts[0])
	n.depth, ok[1] = depth(parts[1], deepestPlan)
	n.minutes, ok[2] = number(parts[2])
	ok[3] = len(parts) == 3
	if len(parts) == 4 {
		n.o2, ok[3] = percent(parts[3])
	}
	in.next = append(in.next, n)
	return ok[0] && ok[1] && ok[2] && ok[3] && n.interval <= longestBreak && n.depth.Known() && n.minutes > 0 &&
		n.minutes <= longestTime
}
