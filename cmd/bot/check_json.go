package main

import (
	"encoding/json"
	"io"
	"math"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// checkJSON is the object of "bot check --json". Depths are whole where they
// are limits, and always to the safe side in the unit they were not given in.
type checkJSON struct {
	Status     gas.Status    `json:"status"`
	Max        wholeUnits    `json:"max_depth"`
	O2         float64       `json:"o2_percent"`
	Depth      bothUnits     `json:"depth"`
	MOD        limitJSON     `json:"mod"`
	MODMax     limitJSON     `json:"mod_max"`
	PPO2       float64       `json:"ppo2"`
	PPO2Bottom *float64      `json:"ppo2_bottom,omitempty"`
	EAD        exactJSON     `json:"ead"`
	BestMix    int           `json:"best_mix_percent"`
	NoStop     noStopJSON    `json:"no_stop"`
	NoStopAsk  *noStopJSON   `json:"no_stop_asked,omitempty"`
	Navy       noStopJSON    `json:"navy_no_stop"`
	CNS        *float64      `json:"cns_percent"`
	CNS24      *float64      `json:"cns_percent_24h"`
	OTU        *float64      `json:"otu"`
	Dives      []diveJSON    `json:"dives"`
	Computer   computerJSON  `json:"computer"`
	Label      string        `json:"label"`
	Findings   []findingJSON `json:"findings"`
}

type bothUnits struct {
	M  float64 `json:"m"`
	Ft float64 `json:"ft"`
}

// wholeUnits is a limit in whole units, each to the safe side.
type wholeUnits struct {
	M  int `json:"m"`
	Ft int `json:"ft"`
}

type limitJSON struct {
	M     int     `json:"m"`
	Ft    int     `json:"ft"`
	Exact float64 `json:"exact"`
	Unit  string  `json:"unit"`
}

type exactJSON struct {
	Exact float64 `json:"exact"`
	Unit  string  `json:"unit"`
}

type noStopJSON struct {
	Minutes *float64 `json:"minutes"`
	State   string   `json:"state"`
}

type diveJSON struct {
	Depth   bothUnits  `json:"depth"`
	Minutes *float64   `json:"minutes"`
	O2      float64    `json:"o2_percent"`
	NoStop  noStopJSON `json:"no_stop"`
	CNS     *float64   `json:"cns_percent"`
	OTU     *float64   `json:"otu"`
}

type computerJSON struct {
	Percent    int `json:"percent"`
	MODPercent int `json:"mod_percent"`
}

type findingJSON struct {
	Dive     int          `json:"dive"`
	Rule     gas.Rule     `json:"rule"`
	Severity gas.Severity `json:"severity"`
	Measured *float64     `json:"measured"`
	Limit    *float64     `json:"limit"`
	Margin   *float64     `json:"margin"`
	Unit     string       `json:"unit"`
	Text     string       `json:"text"`
	Do       string       `json:"do"`
	Source   string       `json:"source"`
}

func writeCheckJSON(w io.Writer, in checkInput, day checked) error {
	n, last := day[0].numbers(), day[len(day)-1].numbers()
	out := checkJSON{
		Status: day.status(), Max: wholeUnits{int(in.max(n, gas.Metres).Value), int(in.max(n, gas.Feet).Value)},
		O2: float64(in.o2), Depth: planned(in.dive.Depth),
		MOD: limitOut(n.MOD), MODMax: limitOut(n.MODMax), PPO2: float64(n.PPO2),
		EAD: exactJSON{n.EAD.Value, n.EAD.Unit.String()}, BestMix: int(n.BestMix),
		NoStop: noStopOut(n.NoStop), Navy: noStopOut(n.Navy),
		CNS: amount(last.CNS), CNS24: amount(last.CNS24), OTU: amount(last.OTU),
		Computer: computerJSON{int(n.Computer), int(math.Ceil(float64(in.o2) - 1e-9))},
		Label:    labelLine(in, n),
	}
	if in.dive.Bottom.Known() {
		out.PPO2Bottom = pointer(float64(n.PPO2Bottom))
	}
	if in.asked.Known() {
		asked := noStopOut(n.NoStopAsked)
		out.NoStopAsk = &asked
	}
	for _, d := range day {
		out.Dives = append(out.Dives, diveOut(d))
	}
	r, to := message.New(), in.reader()
	for _, f := range day.findings() {
		out.Findings = append(out.Findings, findingOut(r, to, f))
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(out)
}

func pointer(v float64) *float64 { return &v }

func amount(a gas.Amount) *float64 {
	if !a.Known {
		return nil
	}
	return &a.Value
}

func planned(d gas.Depth) bothUnits {
	return bothUnits{M: d.PlannedIn(gas.Metres).Value, Ft: d.PlannedIn(gas.Feet).Value}
}

func limitOut(d gas.Depth) limitJSON {
	return limitJSON{M: int(d.LimitIn(gas.Metres).Value), Ft: int(d.LimitIn(gas.Feet).Value), Exact: d.Value,
		Unit: d.Unit.String()}
}

// noStopOut has minutes only when there is a number to hold to.
func noStopOut(n gas.NoStop) noStopJSON {
	switch n.State {
	case gas.NoStopLimited:
		return noStopJSON{Minutes: pointer(n.Minutes), State: n.State.String()}
	case gas.NoStopUnlimited:
		return noStopJSON{State: n.State.String()}
	default:
		return noStopJSON{State: gas.NoStopNone.String()}
	}
}

func diveOut(d checkedDive) diveJSON {
	n := d.numbers()
	out := diveJSON{Depth: planned(d.Depth), O2: float64(d.o2), NoStop: noStopOut(n.NoStop), CNS: amount(n.CNS),
		OTU: amount(n.OTU)}
	if d.Minutes > 0 {
		out.Minutes = pointer(d.Minutes)
	}
	return out
}

func findingOut(r *message.Renderer, to message.Reader, f gas.Finding) findingJSON {
	text, do := message.Finding(f)
	out := findingJSON{Dive: f.Dive, Rule: f.Rule, Severity: f.Severity, Measured: amount(f.Measured),
		Limit:  amount(f.Limit),
		Margin: amount(f.Margin), Unit: f.Unit, Text: r.Line(text, to), Source: f.Source}
	if do.Key != "" {
		out.Do = r.Line(do, to)
	}
	return out
}
