package conversation

// The diver's entries of the three tables in step.go. A leader dives too and
// has all of them.
var (
	diverCommands = map[string]command{
		"start":    {run: showHelp},
		"reading":  {run: askReading},
		"gas":      {run: showGas},
		"trip":     {run: showTrip},
		"howto":    {run: showHowto},
		"units":    {run: changeUnits},
		"language": {run: changeLanguage},
		"leave":    {run: askLeave},
		"forget":   {run: askForget},
		"help":     {run: showHelp},
	}
	diverButtons = map[string]button{
		"undo":     {run: undoPressed},
		"which":    {run: whichPressed},
		"mean":     {run: meanPressed},
		"again":    {run: againPressed},
		"shown":    {run: shownPressed},
		"analyser": {run: analyserPressed},
		"air":      {run: airPressed},
		"label":    {run: labelPressed},
		"before":   {run: beforePressed},
		"ask":      {run: askPressed},
		"boat":     {run: boatPressed},
		"units":    {run: unitsPressed},
		"language": {run: languagePressed},
		"leave":    {run: leavePressed},
		"forget":   {run: forgetPressed},
		"return":   {run: returnPressed},
		"swap":     {run: swapPressed},
		"refill":   {run: refillPressed},
		"pass":     {run: passPressed},
		"gas":      {run: gasPressed},
		"howto":    {run: howtoPressed},
		"reopen":   {run: reopenPressed},
	}
	diverStates = map[State]stateText{
		Idle:          idleTyped,
		stateWhich:    whichTyped,
		stateMeaning:  meaningTyped,
		stateRetype:   retypeTyped,
		stateConfirm:  confirmTyped,
		stateAgain:    againTyped,
		stateShown:    shownTyped,
		stateAnalyser: analyserTyped,
		stateAirName:  airNameTyped,
		stateAir:      airTyped,
		stateLabel:    labelTyped,
		stateBefore:   beforeTyped,
		stateUnits:    unitsTyped,
		stateLanguage: languageTyped,
		stateLeave:    leaveTyped,
		stateForget:   forgetTyped,
		stateSwap:     swapTyped,
		stateRefill:   refillTyped,
		stateReopen:   reopenTyped,
	}
)
