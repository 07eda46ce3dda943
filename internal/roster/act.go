package roster

import (
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// The verbs of acts.
const (
	VerbReading    = "reading"     // On a cylinder; Detail reading, percent, stage, analyser
	VerbCorrect    = "correct"     // On a cylinder; Detail reading, was, now
	VerbUndo       = "undo"        // On a cylinder; Detail reading, was
	VerbMove       = "move"        // On a cylinder; Detail reading, from, percent
	VerbConfirm    = "confirm"     // On a reading; Detail shown
	VerbAnalyser   = "analyser"    // On a reading; Detail was, now
	VerbAirPoint   = "air-point"   // Detail analyser, was, now
	VerbAir        = "air"         // the air at the dock; Detail was, now
	VerbCO         = "co"          // On a cylinder; Detail was, now, ppm
	VerbLabel      = "label"       // On a cylinder; Detail was, now
	VerbAsked      = "asked"       // On a cylinder; Detail was, now
	VerbFill       = "fill"        // On a cylinder; Detail at
	VerbLock       = "lock"        // the fill list takes no more changes
	VerbSwap       = "swap"        // On a cylinder; Detail new
	VerbRetire     = "retire"      // On a cylinder
	VerbCylinder   = "cylinder"    // On a cylinder that was added; Detail person, dive, asked
	VerbBoat       = "boat"        // the boat check was opened; Detail dive
	VerbAttend     = "attend"      // On a cylinder; Detail answer
	VerbReplan     = "replan"      // On a cylinder
	VerbSite       = "site"        // a dive's plan; Detail dive and was/now of what changed
	VerbDived      = "dived"       // On a person or ""; Detail dive, depth, minutes
	VerbUp         = "up"          // the last diver was up; Detail dive, up
	VerbReady      = "ready"       // the cylinders can be analysed; Detail planned
	VerbDeparture  = "departure"   // Detail was, now
	VerbName       = "name"        // the trip's; Detail was, now
	VerbPolicy     = "policy"      // Detail the fields that changed
	VerbAdd        = "add"         // On a person
	VerbLimit      = "limit"       // On a person; Detail was, now
	VerbOut        = "out"         // On a person
	VerbBackIn     = "back-in"     // On a person
	VerbCard       = "card"        // On a person; Detail was, now
	VerbDivedPrior = "dived-prior" // On a person; Detail answer
	VerbJoin       = "join"        // On a person; Detail channel
	VerbLeave      = "leave"       // On a person
	VerbErase      = "erase"       // On a person
	VerbRevoke     = "revoke"      // On a person: the invite
	VerbSignOff    = "sign-off"    // Detail dive
	VerbWithdraw   = "withdraw"    // Detail dive: a signature, by hand
	VerbBroken     = "broken"      // On a person or ""; Detail dive, what, was, now

	VerbWitness        = "witness"         // On a cylinder; Detail witness
	VerbQuestion       = "question"        // On a cylinder; Detail question, kind, percent
	VerbQuestionClosed = "question-closed" // On a cylinder; Detail question, how
	VerbSeriesAside    = "series-aside"    // On a reading; Detail percent
	VerbMoveCylinder   = "move-cylinder"   // On a cylinder; Detail from, to
	VerbNotUsed        = "not-used"        // On a cylinder; Detail dive
	VerbConsent        = "consent"         // a leader agreed to what the shop changed
	VerbNotDived       = "not-dived"       // Detail dive
	VerbDivedBack      = "dived-back"      // Detail dive
	VerbTeamLimit      = "team-limit"      // Detail team, dive, depth, minutes
	VerbTeam           = "team"            // On a person; Detail was, now
	VerbOutside        = "outside"         // On a person; Detail dive
	VerbOutsideBack    = "outside-back"    // On a person; Detail dive
	VerbSpeak          = "speak"           // On a person; Detail was
	VerbSpeakSlip      = "speak-slip"      // On a person
	VerbBroughtBack    = "brought-back"    // On a person
	VerbRole           = "role"            // On a person; Detail leader, crew
	VerbHandOver       = "hand-over"       // On a person
	VerbTakeOver       = "take-over"       // On a person; Detail witness
	VerbZone           = "time-zone"       // the trip's; Detail was, now
	VerbUnits          = "units"           // the trip's; Detail was, now
	VerbAnalysers      = "analysers"       // of the trip; Detail was, now
	VerbCallOff        = "call-off"
	VerbPutOn          = "put-on"    // a trip that was called off takes place
	VerbDropDive       = "drop-dive" // Detail dive
	VerbGateOpen       = "invite-open"
	VerbGateShut       = "invite-shut"
	VerbRefused        = "refused" // somebody at the open invite, of whom no name is kept
	VerbAskTakeOver    = "ask-take-over"
)

// What one person may note on a trip's log. A full day of a diver is about
// fifty acts and a leader's a few hundred; everything that grows with what
// people do (readings, requests, fills, sign-offs) grows by an act each, so
// that this bounds the trip as it is stored.
const (
	MaxActs         = 500
	MaxActsOfLeader = 3000
)

// Full tells whether a person has noted all that one person may. Nothing here
// refuses more: the dialogue does.
func (p *Person) Full() bool {
	most := MaxActs
	if p.Leader {
		most = MaxActsOfLeader
	}
	return p.Noted >= most
}

// Note appends an act to the log.
func (d *Draft) Note(a Act) {
	d.edits++ // whatever was given out has been written by now
	if p := d.touch(a.By); p != nil {
		p.Noted++
	}
	d.Acts = append(d.Acts, a)
}

// act notes who did what, when and why; detail are keys and values in turn,
// and pairs without a value are left out.
func (d *Draft) act(now time.Time, by PersonID, verb, on, reason string, detail ...string) {
	d.now = now
	a := Act{At: now, By: by, Verb: verb, On: on, Reason: reason}
	for i := 0; i+1 < len(detail); i += 2 {
		if detail[i+1] == "" {
			continue
		}
		if a.Detail == nil {
			a.Detail = map[string]string{}
		}
		a.Detail[detail[i]] = detail[i+1]
	}
	d.Note(a)
}

// The written forms of values in an act's detail; "" for a value not known.

func number(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func percentText(p gas.Percent) string { return number(float64(p)) }

func depthText(d gas.Depth) string {
	if !d.Known() {
		return ""
	}
	return d.String()
}

func timeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}
