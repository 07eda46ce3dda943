package conversation

// The leader's entries of the three tables in step.go; each subject has a
// leader_*.go file of its own. The queue's are everybody's.
var (
	leaderCommands = map[string]command{
		"board":     {leader: true, run: showBoard},
		"missing":   {leader: true, run: showMissing},
		"for":       {leader: true, run: whileOpen(onPerson("for"))},
		"site":      {leader: true, run: whileOpen(changeSite)},
		"limit":     {leader: true, run: whileOpen(setLimit)},
		"dived":     {leader: true, run: dived},
		"boat":      {leader: true, run: whileOpen(openBoat)},
		"kept":      {leader: true, run: whileOpen(onPerson("kept"))},
		"refilled":  {leader: true, run: whileOpen(refilled)},
		"air":       {leader: true, run: whileOpen(setAir)},
		"co":        {leader: true, run: whileOpen(setCO)},
		"changed":   {leader: true, run: whileOpen(onPerson("changed"))},
		"cardseen":  {leader: true, run: whileOpen(onPerson("cardseen"))},
		"out":       {leader: true, run: whileOpen(onPerson("out"))},
		"back":      {leader: true, run: whileOpen(onPerson("back"))},
		"revoke":    {leader: true, run: whileOpen(onPerson("revoke"))},
		"replanned": {leader: true, run: whileOpen(replanned)},
		"signoff":   {leader: true, run: whileOpen(signOff)},
		"reopen":    {leader: true, run: whileOpen(reopen)},
		"record":    {leader: true, run: showRecord},
		"link":      {leader: true, run: linkPrivately},
		"unlink":    {leader: true, run: unlinkPrivately},
		"queue":     {run: whileOpen(joinQueue)},
		"pass":      {run: whileOpen(passTurn)},
	}
	leaderButtons = map[string]button{
		"lwho":        {leader: true, run: whoPressed},
		"board":       {leader: true, run: boardPressed},
		"lnudge":      {leader: true, run: nudge},
		"lboat":       {leader: true, run: openBoatPressed},
		"lcyl":        {leader: true, run: forCylinder},
		"lcal":        {leader: true, run: forCalibrated},
		"lundo":       {leader: true, run: undoWitnessed},
		"lsite":       {leader: true, run: siteChosen},
		"lbottom":     {leader: true, run: bottomPressed},
		"lsitesure":   {leader: true, run: siteSure},
		"lswap":       {leader: true, run: leaderSwapPressed},
		"lcard":       {leader: true, run: cardPressed},
		"lnocard":     {leader: true, run: cardKept},
		"lcardback":   {leader: true, run: cardBack},
		"lreplan":     {leader: true, run: replanPressed},
		"lsign":       {leader: true, run: signOffPressed},
		"lsigned":     {leader: true, run: signed},
		"lnotsigned":  {leader: true, run: notSigned},
		"lrevoke":     {leader: true, run: revokePressed},
		"lnotrevoked": {leader: true, run: notRevoked},
		"lpolicy":     {leader: true, run: answerPolicy},
	}
	leaderStates = map[State]stateText{
		stateWho:          whoTyped,
		stateFor:          forTyped,
		stateSite:         siteTyped,
		stateSiteBottom:   bottomTyped,
		stateSiteSure:     siteSureTyped,
		stateLimit:        limitTyped,
		stateDived:        divedTyped,
		stateRefilled:     refilledTyped,
		stateChangedWhich: changedTyped,
		stateOut:          outTyped,
		stateBack:         backTyped,
		stateReopenWhy:    reopenWhyTyped,
		stateRevoke:       revokeTyped,
	}
)

// whileOpen refuses what can't be done any more once the trip is over.
func whileOpen(run func(t *turn, args string)) func(t *turn, args string) {
	return func(t *turn, args string) {
		if t.trip.Over(t.now) {
			t.sayOver()
			return
		}
		run(t, args)
	}
}
