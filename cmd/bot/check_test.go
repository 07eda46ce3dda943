package main

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// check runs "bot check" with a command line as people type it.
func check(t *testing.T, line string) (stdout, stderr string, exit int) {
	t.Helper()
	var out, err strings.Builder
	exit = runCheck(strings.Fields(line), &out, &err)
	return out.String(), err.String(), exit
}

func TestCheckExitAndVerdict(t *testing.T) {
	for _, c := range []struct {
		name, line string
		exit       int
		says       string
	}{
		{"go", "--o2 32.4 --depth 30m", 0, "✅ GO · 30 m as planned"},
		{"exactly at the limit", "--o2 28 --depth 40m", 0, "✅ GO · 40 m as planned"},
		{"exactly at the limit in feet", "--o2 28 --depth 132ft", 0, "✅ GO · 132 ft as planned"},
		{"between label and MOD", "--o2 32 --depth 33.5m", 3, "⚠️ GO, BUT MAX 33 m"},
		{"the same, read in feet", "--o2 32 --depth 33.5m --units ft", 3, "⚠️ GO, BUT MAX 108 ft"},
		{"36 for 110 ft", "--o2 36 --depth 110ft", 4, "⛔ STOP, NO-GO"},
		{"a deep bottom", "--o2 32 --depth 30m --bottom 36m", 3, "⚠️ GO, BUT MAX 33 m"},
		{"a wall without a bottom", "--o2 32 --depth 30m --bottom none", 3, "⚠️ GO, BUT MAX 33 m"},
		{"a decimal comma", "--o2 32,4 --depth 33,1m", 3, "⚠️ GO, BUT MAX 33 m"},
		{"no card", "--o2 32 --depth 18m --card no", 4, "⛔ STOP, NO-GO"},
		{"air needs none", "--o2 20.9 --depth 18m --card no", 0, "✅ GO · 18 m as planned"},
		{"air that is none", "--o2 30 --asked air --depth 18m --card no", 4, "⛔ STOP, NO-GO"},
		{"an analyser that is off", "--o2 32 --depth 18m --air-point 21.4", 5, "❓ ANALYSE FIRST"},
		{"the diver's max is that of the qualification", "--o2 32 --depth 28m --bottom 36m --depth-limit 30m", 3,
			"⚠️ GO, BUT MAX 30 m"},
		{"the diver's max is that of the policy", "--o2 25 --depth 38m --bottom none --deepest 40m", 3,
			"⚠️ GO, BUT MAX 40 m"},
		{"deeper than the policy", "--o2 25 --depth 42m --deepest 40m", 4, "⛔ STOP, NO-GO"},
		{"beyond the qualification", "--o2 28 --depth 30m --depth-limit 18m", 4, "⛔ STOP, NO-GO"},
		{"too rich for this check", "--o2 41 --depth 10m", 4, "⛔ STOP, NO-GO"},
		{"leaner than air", "--o2 19.5 --depth 10m", 4, "⛔ STOP, NO-GO"},
		{"a stricter limit", "--o2 32 --depth 30m --ppo2 1.2", 4, "⛔ STOP, NO-GO"},
		{"within the no-stop time", "--o2 32 --depth 30m --time 24", 0, "✅ GO · 30 m as planned"},
		{"longer than the no-stop time", "--o2 32 --depth 30m --time 30", 3, "⚠️ GO, BUT MAX 24 min"},
		{"a lean fill costs the plan", "--o2 28 --asked 32 --depth 30m --time 22", 3, "⚠️ GO, BUT MAX 20 min"},
		{"a depth and a time", "--o2 32 --depth 30m --bottom none --time 30", 3, "⚠️ GO, BUT MAX 33 m, 24 min"},
		{"a stricter gradient factor", "--o2 32 --depth 30m --time 22 --gf 70", 3, "⚠️ GO, BUT MAX 17 min"},
		{"too much oxygen in a day", "--o2 35 --depth 30m --time 160", 4, "⛔ STOP, NO-GO"},
		{"clean air", "--o2 32 --depth 18m --co 2", 0, "✅ GO · 18 m as planned"},
		{"foul air", "--o2 32 --depth 18m --co 6", 4, "⛔ STOP, NO-GO"},
		{"humid air", "--o2 32 --depth 30m --air-temp 30 --humidity 80", 0, "✅ GO · 30 m as planned"},
		{"humid air and a tight plan", "--o2 32 --depth 30m --time 24 --air-temp 30 --humidity 80", 3,
			"⚠️ GO, BUT MAX 23 min"},
		{"frost", "--o2 32 --depth 30m --air-temp -5 --humidity 80", 0, "✅ GO · 30 m as planned"},
		{"the first dive costs the second its minutes", "--o2 32 --depth 30m --time 24 --next 10,30m,24", 3,
			"⚠️ GO WITH LIMITS"},
		{"a second dive without the first one's time", "--o2 32 --depth 30m --next 60,18m,40", 0, "✅ GO · 30 m as planned"},
		{"the second dive counts", "--o2 36 --depth 20m --next 60,36m,20", 4, "⛔ STOP, NO-GO"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err, exit := check(t, c.line)
			first, _, _ := strings.Cut(out, "\n")
			if exit != c.exit || first != c.says || err != "" {
				t.Errorf("got %d, %q, stderr %q; want %d, %q", exit, first, err, c.exit, c.says)
			}
			if strings.ContainsAny(out, "⟦⟧") || strings.Contains(out, "<no value>") {
				t.Errorf("words are missing:\n%s", out)
			}
			if _, _, fromJSON := check(t, c.line+" --json"); fromJSON != c.exit {
				t.Errorf("with --json: got %d, want %d", fromJSON, c.exit)
			}
		})
	}
}

// TestCheckRefuses: one line on stderr that names the flag and the value and
// says what is accepted; nothing on stdout; exit 2.
func TestCheckRefuses(t *testing.T) {
	for _, c := range []struct {
		line string
		says []string
	}{
		{"", []string{"--o2 is required", "--depth is required", "accepted"}},
		{"--o2 32", []string{"--depth is required", "27.5m or 90ft"}},
		{"--o2 NaN --depth 30m", []string{"--o2", `"NaN"`, "from 1 to 100"}},
		{"--o2 inf --depth 30m", []string{"--o2", `"inf"`, "from 1 to 100"}},
		{"--o2 -32 --depth 30m", []string{"--o2", `"-32"`}},
		{"--o2 3e1 --depth 30m", []string{"--o2", `"3e1"`}},
		{"--o2 0.32 --depth 30m", []string{"--o2", `"0.32"`}},
		{"--o2 210 --depth 30m", []string{"--o2", `"210"`}},
		{"--o2 32.4.1 --depth 30m", []string{"--o2", `"32.4.1"`}},
		{"--o2 EAN32 --depth 30m", []string{"--o2", `"EAN32"`}},
		{"--o2 ٣٢ --depth 30m", []string{"--o2", `"٣٢"`}},
		{"--o2 32 --depth 30", []string{"--depth", `"30"`, "with its unit"}},
		{"--o2 32 --depth 0m", []string{"--depth", `"0m"`, "more than 0"}},
		{"--o2 32 --depth -5m", []string{"--depth", `"-5m"`}},
		{"--o2 32 --depth 101m", []string{"--depth", `"101m"`, "100 m"}},
		{"--o2 32 --depth 329ft", []string{"--depth", `"329ft"`, "100 m"}},
		{"--o2 32 --depth 30yd", []string{"--depth", `"30yd"`}},
		{"--o2 32 --depth 30m --bottom deep", []string{"--bottom", `"deep"`, "none"}},
		{"--o2 32 --depth 30m --bottom 20m", []string{"--bottom 20 m", "--depth 30 m"}},
		{"--o2 32 --depth 30m --time 0", []string{"--time", `"0"`, "minutes"}},
		{"--o2 32 --depth 30m --time forever", []string{"--time", `"forever"`}},
		{"--o2 32 --depth 30m --water brackish", []string{"--water", `"brackish"`, "salt or fresh"}},
		{"--o2 32 --depth 30m --altitude 6000m", []string{"--altitude", `"6000m"`, "5000 m"}},
		{"--o2 32 --depth 30m --altitude 300", []string{"--altitude", `"300"`}},
		{"--o2 32 --depth 30m --ppo2 1.6", []string{"--ppo2", `"1.6"`, "1.0 to 1.4"}},
		{"--o2 32 --depth 30m --ppo2-max 1.7", []string{"--ppo2-max", `"1.7"`, "1.6"}},
		{"--o2 32 --depth 30m --ppo2-max 1.3", []string{"--ppo2-max", "1.3", "from 1.4"}},
		{"--o2 32 --depth 30m --max-o2 50", []string{"--max-o2", `"50"`, "22 to 40"}},
		{"--o2 32 --depth 30m --deepest 61m", []string{"--deepest", "61 m", "18 m", "60 m"}},
		{"--o2 32 --depth 30m --deepest 30", []string{"--deepest", `"30"`}},
		{"--o2 32 --depth 30m --gf 20", []string{"--gf", `"20"`, "30 to 95"}},
		{"--o2 32 --depth 30m --card perhaps", []string{"--card", `"perhaps"`, "yes or no"}},
		{"--o2 32 --depth 30m --humidity 101", []string{"--humidity", `"101"`, "0 to 100"}},
		{"--o2 32 --depth 30m --air-temp 99", []string{"--air-temp", `"99"`, "-40 to 60"}},
		{"--o2 32 --depth 30m --co -1", []string{"--co", `"-1"`, "ppm"}},
		{"--o2 32 --depth 30m --next 60,18m", []string{"--next", `"60,18m"`, "60,18m,40"}},
		{"--o2 32 --depth 30m --next 60,18,40", []string{"--next", `"60,18,40"`}},
		{"--o2 32 --depth 30m --next 60,18m,40,36,1", []string{"--next"}},
		{"--o2 32 --depth 30m --units furlongs", []string{"--units", `"furlongs"`, "m or ft"}},
		{"--o2 32 --depth 30m --lang tlh", []string{"--lang", `"tlh"`, "en"}},
		{"--o2 32 --o2 36 --depth 30m", []string{"--o2", `"36"`, "once"}},
		{"--o2 32 --depth 30m --dept 40m", []string{"--dept is not a flag", "--depth"}},
		{"--o2 32 --depth 30m extra", []string{`"extra"`, "--o2"}},
		{"--depth 30m --o2", []string{"--o2 needs a value", "from 1 to 100"}},
	} {
		t.Run(c.line, func(t *testing.T) {
			out, err, exit := check(t, c.line)
			if exit != 2 || out != "" || strings.Count(err, "\n") != 1 || !strings.HasPrefix(err, "bot check: ") {
				t.Errorf("got exit %d, stdout %q, stderr %q", exit, out, err)
			}
			for _, want := range c.says {
				if !strings.Contains(err, want) {
					t.Errorf("got %q, want it to say %q", err, want)
				}
			}
		})
	}
}

func TestCheckHelp(t *testing.T) {
	out, err, exit := check(t, "-h")
	if exit != 0 || err != "" {
		t.Errorf("got %d, stderr %q", exit, err)
	}
	for _, c := range checkFlags() {
		if !strings.Contains(out, "--"+c.name+" ") {
			t.Errorf("help doesn't name --%s", c.name)
		}
	}
}

// checkObject is the object of --json.
func checkObject(t *testing.T, line string) map[string]any {
	t.Helper()
	out, err, _ := check(t, line+" --json")
	var got map[string]any
	if e := json.Unmarshal([]byte(out), &got); e != nil || err != "" {
		t.Fatalf("%v, stderr %q:\n%s", e, err, out)
	}
	return got
}

// at reads a value of the object by its path.
func at(t *testing.T, o any, path string) any {
	t.Helper()
	for _, key := range strings.Split(path, ".") {
		m, ok := o.(map[string]any)
		if !ok {
			t.Fatalf("no %s on the way to %s", key, path)
		}
		o = m[key]
	}
	return o
}

// TestCheckJSON holds the numbers to the trade's rule, worked by hand, and to
// testdata/gas/mod.csv.
func TestCheckJSON(t *testing.T) {
	got := checkObject(t, "--o2 36 --depth 110ft --asked 36 --bottom 120ft")
	for path, want := range map[string]any{
		"status": "no-go", "o2_percent": 36.0, "depth.ft": 110.0, "depth.m": 34.0,
		"mod.ft": 95.0, "mod.m": 28.0, "mod.unit": "ft", "mod_max.ft": 113.0,
		"ppo2": 1.56, "best_mix_percent": 32.0, "ead.unit": "ft",
		"computer.percent": 36.0, "computer.mod_percent": 36.0,
		"label": "O2 36.0 %, MOD 95 ft (28 m) at ppO2 1.40",
	} {
		if v := at(t, got, path); v != want {
			t.Errorf("%s: got %v, want %v", path, v, want)
		}
	}
	for path, want := range map[string]float64{"mod.exact": 95.3333, "mod_max.exact": 113.6667, "ppo2_bottom": 1.669,
		"ead.exact": 82.848} {
		if v := at(t, got, path).(float64); v < want-0.001 || v > want+0.001 {
			t.Errorf("%s: got %v, want %v", path, v, want)
		}
	}
}

// TestCheckJSONMax: the shallowest of the label's MOD, the qualification and the
// policy's deepest depth, whole in both units. 30 m is 100 ft by name (common
// practice, no source); 33 m of the label are 108 ft.
func TestCheckJSONMax(t *testing.T) {
	for _, c := range []struct {
		name, line string
		m, ft      float64
	}{
		{"of the gas", "--o2 32 --depth 20m", 33, 108},
		{"of the qualification", "--o2 32 --depth 20m --depth-limit 30m", 30, 100},
		{"of the qualification in feet", "--o2 32 --depth 60ft --depth-limit 100ft", 30, 100},
		{"of the policy", "--o2 21 --depth 20m --deepest 40m", 40, 130},
		{"the gas within all", "--o2 36 --depth 20m --depth-limit 40m --deepest 50m", 28, 91},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := checkObject(t, c.line)
			if m, ft := at(t, got, "max_depth.m"), at(t, got, "max_depth.ft"); m != c.m || ft != c.ft {
				t.Errorf("got %v m, %v ft, want %v m, %v ft", m, ft, c.m, c.ft)
			}
		})
	}
}

// TestCheckLabelsAir: air has no depth to keep to on its label, unless its MOD
// is shallower than the deepest depth that is allowed.
func TestCheckLabelsAir(t *testing.T) {
	for line, want := range map[string]string{
		"--o2 20.9 --depth 18m":               "AIR · 20.9 %",
		"--o2 20.9 --depth 18m --deepest 40m": "AIR · 20.9 %",
		"--o2 20.9 --depth 18m --deepest 60m": "AIR · 20.9 % · MOD 56 m",
		"--o2 22.0 --depth 18m --deepest 40m": "O2 22.0 %, MOD 53 m (173 ft) at ppO2 1.40",
	} {
		if got := at(t, checkObject(t, line), "label"); got != want {
			t.Errorf("%s: got %q, want %q", line, got, want)
		}
	}
}

// TestCheckSaysWhatToDoFirst: verdict, label, computer, and the one thing to
// do; the list of rules only when asked for.
func TestCheckSaysWhatToDoFirst(t *testing.T) {
	out, _, _ := check(t, "--o2 32 --depth 30m --bottom none")
	lines := strings.SplitN(out, "\n", 5)
	if len(lines) < 5 || !strings.Contains(lines[1], "MOD 33 m") || !strings.Contains(lines[2], "32 %") || lines[3] == "" {
		t.Errorf("got %q", lines)
	}
	if why, _, _ := check(t, "--o2 32 --depth 30m --bottom none --why"); strings.Contains(out, "thin-margin: ") &&
		!strings.Contains(out, "bottom: ") ||
		strings.Contains(out, "out-of-range") || !strings.Contains(why, "out-of-range") {
		t.Errorf("rules that passed are for --why alone:\n%s\n%s", out, why)
	}
}

func TestCheckJSONRoundsTheComputerDownForTime(t *testing.T) {
	got := checkObject(t, "--o2 31.9 --depth 30m")
	if a, b := at(t, got, "computer.percent"), at(t, got, "computer.mod_percent"); a != 31.0 || b != 32.0 {
		t.Errorf("got %v and %v, want 31 and 32", a, b)
	}
}

// TestCheckJSONKeys holds the object to the contract: these keys and no others.
func TestCheckJSONKeys(t *testing.T) {
	keys := func(o map[string]any) []string {
		var all []string
		for k := range o {
			all = append(all, k)
		}
		slices.Sort(all)
		return all
	}
	always := []string{"status", "max_depth", "o2_percent", "depth", "mod", "mod_max", "ppo2", "ead", "best_mix_percent",
		"no_stop", "navy_no_stop",
		"cns_percent", "cns_percent_24h", "otu", "dives", "computer", "label", "findings"}
	full := append([]string{"ppo2_bottom", "no_stop_asked"}, always...)
	slices.Sort(always)
	slices.Sort(full)
	if got := keys(checkObject(t, "--o2 32 --depth 30m")); !slices.Equal(got, always) {
		t.Errorf("got  %v\nwant %v", got, always)
	}
	if got := keys(checkObject(t, "--o2 32 --depth 30m --asked 32 --bottom 33m")); !slices.Equal(got, full) {
		t.Errorf("got  %v\nwant %v", got, full)
	}
}

func TestCheckJSONListsEveryRuleForEveryDive(t *testing.T) {
	got := checkObject(t, "--o2 32 --depth 30m --next 60,18m,40 --next 90,12m,40,36")
	seen := map[float64]map[string]bool{}
	for _, f := range got["findings"].([]any) {
		m := f.(map[string]any)
		for _, key := range []string{"rule", "severity", "measured", "limit", "margin", "unit", "text", "do", "source"} {
			if _, ok := m[key]; !ok {
				t.Fatalf("a finding without %s: %v", key, m)
			}
		}
		d := m["dive"].(float64)
		if seen[d] == nil {
			seen[d] = map[string]bool{}
		}
		seen[d][m["rule"].(string)] = true
	}
	for dive := 1.0; dive <= 3; dive++ {
		if len(seen[dive]) != 29 {
			t.Errorf("dive %v: %d rules, want 29", dive, len(seen[dive]))
		}
	}
	if n := len(got["dives"].([]any)); n != 3 {
		t.Errorf("%d dives, want 3", n)
	}
}

// TestCheckJSONTimes: the figures of testdata/gas/SOURCES.md and of the US Navy
// table (EAD of 32 % at 30 m is 80.2 ft: the row of 90 ft), and an hour later
// less time than a first dive would have.
func TestCheckJSONTimes(t *testing.T) {
	got := checkObject(t, "--o2 32 --asked 36 --depth 30m --time 22 --next 60,18m,40 --gf 85")
	near := func(path string, want, within float64) {
		t.Helper()
		if v, ok := at(t, got, path).(float64); !ok || v < want-within || v > want+within {
			t.Errorf("%s: got %v, want %v", path, at(t, got, path), want)
		}
	}
	near("no_stop.minutes", 24.30, 0.02)
	near("navy_no_stop.minutes", 33, 0)
	if v := at(t, got, "no_stop.state"); v != "limited" {
		t.Errorf("got %v", v)
	}
	if a, b := at(t, got, "no_stop_asked.minutes").(float64), at(t, got, "no_stop.minutes").(float64); a <= b {
		t.Errorf("36 %%: %v, 32 %%: %v", a, b)
	}
	dives := got["dives"].([]any)
	first, second := dives[0], dives[1]
	if a, b := at(t, first, "cns_percent").(float64), at(t, second, "cns_percent").(float64); a <= 0 || b <= a ||
		b != at(t, got, "cns_percent") {
		t.Errorf("CNS runs %v, %v, in all %v", a, b, at(t, got, "cns_percent"))
	}
	alone := checkObject(t, "--o2 32 --depth 18m --time 40")
	if a, b := at(t, second, "no_stop.minutes").(float64), at(t, alone, "no_stop.minutes").(float64); a >= b {
		t.Errorf("after a dive %v min, alone %v", a, b)
	}
	if v := at(t, second, "depth.ft"); v != 60.0 { // 59.06 ft rounded up
		t.Errorf("18 m planned: got %v ft, want 60", v)
	}
}

func TestCheckJSONHasNoOxygenAboveTheTable(t *testing.T) {
	got := checkObject(t, "--o2 36 --depth 36m --time 20") // 1.656 atm
	for _, path := range []string{"cns_percent", "cns_percent_24h", "otu"} {
		if v := at(t, got, path); v != nil {
			t.Errorf("%s: got %v, want null", path, v)
		}
	}
	if got["status"] != "no-go" {
		t.Errorf("got %v, want no-go", got["status"])
	}
}

func TestCheckJSONHasNoTimesWithoutMinutes(t *testing.T) {
	got := checkObject(t, "--o2 32 --depth 30m --altitude 300m")
	if v := at(t, got, "cns_percent"); v != nil {
		t.Errorf("cns_percent: got %v, want null", v)
	}
	if v := at(t, got, "navy_no_stop.state"); v != "none" {
		t.Errorf("navy off sea level: got %v, want none", v)
	}
	if v := at(t, got, "no_stop.state"); v != "limited" {
		t.Errorf("no_stop: got %v, want limited", v)
	}
}

// TestCheckInEveryLanguage: the same check in every language that has texts,
// with nothing left unsaid and the same exit code.
func TestCheckInEveryLanguage(t *testing.T) {
	for _, lang := range strings.Split(languages(), ", ") {
		line := "--o2 30.6 --asked 32 --depth 30m --bottom none --time 24 --next 60,18m,40,36 --air-temp 30 --humidity " +
			"80 --co 4 --lang " + lang
		out, err, exit := check(t, line)
		if exit != 3 || err != "" || strings.ContainsAny(out, "⟦⟧") || strings.Contains(out, "<no value>") {
			t.Errorf("%s: exit %d, stderr %q\n%s", lang, exit, err, out)
		}
		if _, err, exit := check(t, line+" --json"); exit != 3 || err != "" {
			t.Errorf("%s, JSON: exit %d, stderr %q", lang, exit, err)
		}
	}
}
