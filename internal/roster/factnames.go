package roster

// The names of facts, which Broken.What says. Those of the trip first; a field of
// the policy is FactPolicy, a blank and its JSON name ("policy gf").
const (
	FactSite     = "site" // compared without case and blanks
	FactDepth    = "depth"
	FactBottom   = "bottom"
	FactMinutes  = "minutes"
	FactWater    = "water"
	FactAltitude = "altitude"
	FactInterval = "interval" // at the surface before the dive
	FactStart    = "start"
	FactPolicy   = "policy"

	FactRole          = "role" // also that somebody came or went
	FactTeam          = "team"
	FactLeft          = "left"
	FactDives         = "dives" // has a place on the board
	FactOut           = "out"   // "out", "outside" or ""
	FactCard          = "card"
	FactQualification = "qualification" // in the trip's unit
	FactLimit         = "limit"         // a leader's
	FactTeamLimit     = "team-limit"
	FactSpeak         = "speak"
	FactDivedBefore   = "dived-before" // a yes to the last 24 hours
	FactDived         = "dived"        // an earlier dive
	FactCylinders     = "cylinders"
	FactStatus        = "status"
	FactLimits        = "limits" // the rules that found limits
	FactMax           = "max"
	FactMaxMinutes    = "max-minutes"
)
