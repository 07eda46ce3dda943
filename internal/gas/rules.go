package gas

// rule looks at one cylinder of a diver and says one thing about it.
type rule struct {
	// check yields the finding; Assess adds the cylinder and the dive.
	check func(*subject) Finding
	// outcomes are all that check can yield; a test holds it to them, and each
	// has its sentence in the message catalogue.
	outcomes []Outcome
}

// rules are all rules in the order in which their findings are listed. To add
// one, write its file and put it here.
var rules = []rule{
	noReadingRule,
	outOfRangeRule,
	depthRule,
	bottomRule,
	contingencyRule,
	thinMarginRule,
	askedRule,
	noStopRule,
	leanRule,
	cardRule,
	airIsNotAirRule,
	airPointRule,
	humidAirRule,
	repeatRule,
	sameCylinderRule,
	measuredRule,
	improvedRule,
	staleRule,
	carbonMonoxideRule,
	questionRule,
	oxygenClockRule,
}

// diverRule looks at the diver and not at one cylinder. Its finding has none.
type diverRule struct {
	check    func(*check) Finding
	outcomes []Outcome
}

// diverRules are the rules over the diver, listed after those of the cylinders.
var diverRules = []diverRule{
	noCylinderRule,
	leftRule,
	speakRule,
	deepestRule,
	depthLimitRule,
	setLimitRule,
	teamRule,
	divedBeforeRule,
}

// Outcome is one way a rule can end: everything of its finding but the numbers.
type Outcome struct {
	Rule     Rule
	Case     string
	Severity Severity
	Do       string // key of the one thing to do, "" when nothing is
	Source   string // of the limit
}

// finding is the outcome as a finding without numbers.
func (o *Outcome) finding() Finding {
	return Finding{Rule: o.Rule, Case: o.Case, Severity: o.Severity, Do: o.Do, Source: o.Source}
}

// Outcomes are all outcomes of all rules, in the order of the rules.
func Outcomes() []Outcome {
	var all []Outcome
	for _, r := range rules {
		all = append(all, r.outcomes...)
	}
	for _, r := range diverRules {
		all = append(all, r.outcomes...)
	}
	return all
}

// CaseNotRead is the case of every rule that had no reading to look at.
const CaseNotRead = "not-read"

// notRead is the outcome of rule r without a reading.
func notRead(r Rule) Outcome { return Outcome{Rule: r, Case: CaseNotRead, Severity: NotApplicable} }

// The sources of limits. What has no published source says so.
const (
	sourceNOAA     = "NOAA Diving Manual: 1.4 ATA for no-decompression nitrox dives"
	sourceNOAAMax  = "NOAA Diving Manual: 1.6 ATA, the end of its table"
	sourceFill     = "EN 12021:2014, nitrox +- 1.0 point"
	sourceCustom   = "common practice, no source"
	sourceZHL      = "Buehlmann ZHL-16C (5th ed., 2002) with gradient factor high (Baker)"
	sourceOxygen   = "NOAA Diving Manual, 4th ed.: oxygen exposure limits"
	sourceHumid    = "gas law; WMO-No. 8, Magnus form"
	sourceCO       = "EN 12021:2014: 5 ppm; CGA G-7.1 Grade E: 10 ppm"
	sourceHSE      = "UK HSE Diving Information Sheet 9: 3 ppm"
	sourceTeam     = "university scientific-diving manual; common practice"
	sourceOver40   = "46 CFR 197.452: over 40 % needs equipment cleaned for oxygen"
	sourceAir      = "US Standard Atmosphere: 20.95 % oxygen"
	sourceAnalyser = "analyser data sheets: +- 1 point; common practice"
)
