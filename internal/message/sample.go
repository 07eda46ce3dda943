package message

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/BurntSushi/toml"

	"gasmuster/internal/gas"
)

// Sentence is one entry of the catalogues with invented values, to be read
// through by somebody who speaks its languages.
type Sentence struct {
	Area string // of its catalogue: "diver", "findings", ...
	Key  string
	// Lines are the entry with invented values: one, or one for each of several
	// counts where counts are told apart.
	Lines []Line
}

// Sentences are all entries of the English catalogues, by area and key.
func Sentences() []Sentence { return slices.Clone(sentences()) }

var sentences = sync.OnceValue(func() []Sentence {
	files, err := catalogue.ReadDir("catalogue")
	if err != nil {
		panic(err)
	}
	var all []Sentence
	for _, f := range files {
		area, english := strings.CutSuffix(f.Name(), ".en.toml")
		if !english {
			continue
		}
		var entries map[string]map[string]string
		if _, err := toml.DecodeFS(catalogue, "catalogue/"+f.Name(), &entries); err != nil {
			panic(err)
		}
		for _, key := range slices.Sorted(maps.Keys(entries)) {
			all = append(all, Sentence{Area: area, Key: key, Lines: sampleLines(key, entries[key])})
		}
	}
	return all
})

var placeholderForm = regexp.MustCompile(`\{\{\.(\w+)\}\}`)

func sampleLines(key string, forms map[string]string) []Line {
	args := Args{}
	for _, text := range forms {
		for _, m := range placeholderForm.FindAllStringSubmatch(text, -1) {
			args[m[1]] = sampleOf(key, m[1])
		}
	}
	if forms["one"] == "" {
		return []Line{Say(key, args)}
	}
	var lines []Line
	for _, n := range []int{0, 1, 2, 5, 12, 100} { // each plural form of every language
		a := maps.Clone(args)
		a["count"] = Count(n)
		lines = append(lines, Say(key, a))
	}
	return lines
}

// sampleOf is an invented value of the kind that usually goes by this name.
func sampleOf(key, name string) Value {
	if strings.HasPrefix(key, "unit.") || strings.HasPrefix(key, "time.") {
		return samplePart(name)
	}
	if rule, ok := strings.CutPrefix(key, "finding."); ok {
		if v, ok := sampleFinding(rule, name); ok {
			return v
		}
	}
	if v, ok := samples[name]; ok {
		return v
	}
	return Name("Anvil Ledge")
}

var sampleTime = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)

// samples are the values of the charter that the demo plays.
var samples = map[string]Value{
	"name": Name("Tomasz"), "was": Name("Marit"), "who": Name("Inês"), "leader": Name("Inês"),
	"trip":  Name("Saturday two-tank"),
	"names": List(Name("Tomasz"), Name("Marit"), Name("Yusuf")), "team": Name("1"), "teams": List(Name("1"), Name("2")),
	"site": Name("Anvil Ledge"), "plan": Of(Say("plan.minutes.bottom", Args{"site": Name("Anvil Ledge"),
		"depth": Planned(gas.M(37)), "minutes": Minutes(7), "bottom": Bottom(gas.M(40))})),
	"depth": Limit(gas.M(38)), "mod": Limit(gas.M(38)), "limit": Limit(gas.M(38)), "bottom": Bottom(gas.M(40)),
	"max":  Limit(gas.M(40)),
	"card": Limit(gas.M(40)), "deepest": Planned(gas.M(100)), "one": Planned(gas.M(37)), "two": Planned(gas.M(21)),
	"ead":     Planned(gas.M(32.2)),
	"percent": Percent(29.1), "measured": Percent(29.1), "rich": Percent(29.6), "o2": Percent(29.1),
	"oxygen": Percent(20.5), "suggest": Percent(29.1),
	"asked": Blend(28), "mix": Blend(28), "best": Blend(28), "richest": Blend(29), "other": Blend(28), "blend": Blend(28),
	"points": Points(1.4), "off": Points(1.4), "ppo2": PPO2(1.43), "ppo2max": PPO2(1.6), "ppm": Points(4),
	"celsius": Celsius(30), "humidity": Count(80),
	"minutes": Minutes(7), "time": Minutes(9), "longest": Minutes(240),
	"cylinder": Of(Say("leader.cylinder", Args{"label": Name("17")})),
	"cylinders": List(Of(Say("leader.cylinder", Args{"label": Name("17")})),
		Of(Say("leader.cylinder", Args{"label": Name("22")}))), "label": Name("17"), "labels": List(Name("17"), Name("22")),
	"analyser": Name("A"), "analysers": List(Name("A"), Name("B")), "verdict": Of(Verdict(gas.GoWithLimits, gas.M(38))),
	"count": Count(5), "dive": Count(1), "of": Count(2), "next": Count(2), "first": Count(1), "last": Count(2),
	"n": Count(5), "number": Count(5), "place": Count(2),
	"active": Count(8), "go": Count(5), "limits": Count(1), "stop": Count(1), "missing": Count(1), "from": Count(21),
	"to": Count(31), "cns": Count(12), "otu": Count(20), "page": Count(1), "pages": Count(2),
	"at": Clock(sampleTime, "Atlantic/Azores"), "since": Clock(sampleTime, "Atlantic/Azores"),
	"clock":  Clock(sampleTime, "Atlantic/Azores"),
	"undone": Clock(sampleTime, "Atlantic/Azores"), "void": Clock(sampleTime, "Atlantic/Azores"),
	"departs": Moment(sampleTime, "Atlantic/Azores"), "day": Day(sampleTime, "Atlantic/Azores"),
	"text": Text("29.1"), "typed": Name("210"), "reason": Text("current"), "command": Code("/board"),
	"example": Code("/for Aoife A1 27.8"),
	"board":   Code("/board"), "record": Code("/record"), "out": Code("/out"), "for": Code("/for"),
	"sign": Code("/signoff"), "reopen": Code("/reopen"),
	"language": OwnName("en"), "id": Code("k4t7q"), "source": Code("CLDR"), "a": Name("Tomasz"), "b": Name("Marit"),
	"symbol": Code("▲"), "fit": Of(Say("chart.fit.limit", nil)), "part": Count(1),
	"link": Code("https://charter.example/c/abcdefgh23-p3-invented"),
}

// samplePart is a piece of a value, as values are put together.
func samplePart(name string) Value {
	part := map[string]string{"n": "38", "h": "08", "m": "30", "day": "15", "weekday": "Sat", "month": "May",
		"year": "2027", "zone": "Atlantic/Azores", "offset": "+00:00", "clock": "08:30"}[name]
	return Value{Kind: kindPart, S: part}
}

// sampleFinding is a value of a finding in the unit of its rule.
func sampleFinding(rule, name string) (Value, bool) {
	rule, _, _ = strings.Cut(rule, ".")
	byRule := map[string]map[string]Value{
		"depth":           {"measured": Planned(gas.M(37)), "limit": Limit(gas.M(32))},
		"bottom":          {"measured": Planned(gas.M(40))},
		"contingency":     {"measured": Planned(gas.M(40)), "limit": Limit(gas.M(40))},
		"depth-limit":     {"measured": Planned(gas.M(37)), "limit": Limit(gas.M(30))},
		"no-stop":         {"measured": Minutes(22), "limit": Minutes(20)},
		"lean":            {"measured": Minutes(20), "limit": Minutes(24)},
		"asked":           {"measured": Points(1.4), "limit": Points(1)},
		"repeat":          {"measured": Points(1.4), "other": Percent(31)},
		"oxygen-clock":    {"measured": Count(83), "limit": Count(80)},
		"stale":           {"measured": Points(26), "limit": Points(24)},
		"out-of-range":    {"limit": Blend(40)},
		"carbon-monoxide": {"measured": Points(4), "limit": Points(5)},
	}
	v, ok := byRule[rule][name]
	return v, ok
}
