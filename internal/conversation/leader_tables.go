package conversation

// The leader's entries of the three tables in step.go; each subject has a
// leader_*.go file of its own. The queue's are everybody's.
var (
	leaderCommands = map[string]command{
		"board":     {crew: true, run: showBoard},
		"missing":   {leader: true, run: showMissing},
		"for":       {crew: true, run: whileOpen(onPerson("for"))},
		"witness":   {leader: true, run: whileOpen(onPerson("witness"))},
		"site":      {leader: true, run: whileOpen(changeSite)},
		"limit":     {leader: true, run: whileOpen(setLimit)},
		"dived":     {run: dived},
		"boat":      {leader: true, run: whileOpen(openBoat)},
		"kept":      {crew: true, run: whileOpen(onPerson("kept"))},
		"refilled":  {crew: true, run: whileOpen(refilled)},
		"series":    {leader: true, run: whileOpen(setSeriesAside)},
		"air":       {leader: true, run: whileOpen(setAir)},
		"co":        {crew: true, run: whileOpen(setCO)},
		"cylinder":  {crew: true, run: whileOpen(onPerson("cylinder"))},
		"changed":   {crew: true, run: whileOpen(onPerson("changed"))},
		"cardseen":  {crew: true, run: whileOpen(onPerson("cardseen"))},
		"out":       {leader: true, run: whileOpen(onPerson("out"))},
		"back":      {leader: true, run: whileOpen(onPerson("back"))},
		"outside":   {leader: true, run: whileOpen(onPerson("outside"))},
		"inside":    {leader: true, run: whileOpen(onPerson("inside"))},
		"revoke":    {leader: true, run: whileOpen(onPerson("revoke"))},
		"replanned": {leader: true, run: whileOpen(replanned)},
		"signoff":   {leader: true, run: whileOpen(signOff)},
		"reopen":    {leader: true, run: whileOpen(reopen)},
		"record":    {leader: true, run: showRecord},
		"link":      {leader: true, run: linkPrivately},
		"unlink":    {leader: true, run: unlinkPrivately},
		"muster":    {crew: true, run: showMuster},
		"letin":     {crew: true, run: whileOpen(showInvite)},
		"add":       {crew: true, run: whileOpen(addSomebody)},
		"crew":      {leader: true, run: whileOpen(onPerson("crew"))},
		"lead":      {leader: true, run: whileOpen(onPerson("lead"))},
		"calloff":   {leader: true, run: whileOpen(callOff)},
		"postpone":  {leader: true, run: whileOpen(postpone)},
		"drop":      {leader: true, run: whileOpen(dropDive)},
		"takeover":  {run: whileOpen(takeOver)},
		"queue":     {run: whileOpen(joinQueue)},
		"pass":      {run: whileOpen(passTurn)},
	}
	leaderButtons = map[string]button{
		"lwho":        {crew: true, run: whoPressed},
		"board":       {crew: true, run: boardPressed},
		"lmore":       {crew: true, run: moreOfBoard},
		"lnudge":      {leader: true, run: nudge},
		"lboat":       {leader: true, run: openBoatPressed},
		"lcyl":        {crew: true, run: forCylinder},
		"lcal":        {crew: true, run: forCalibrated},
		"lkept":       {crew: true, run: keptPressed},
		"queue":       {run: queuePressed},
		"lundo":       {crew: true, run: undoWitnessed},
		"lwatch":      {crew: true, run: watchPressed},
		"lfor":        {crew: true, run: forPressed},
		"lsite":       {leader: true, run: siteChosen},
		"lbottom":     {leader: true, run: bottomPressed},
		"lsitesure":   {leader: true, run: siteSure},
		"lswap":       {crew: true, run: leaderSwapPressed},
		"lcard":       {crew: true, run: cardPressed},
		"lcardby":     {leader: true, run: openOnly(cardByPressed)},
		"lnocard":     {crew: true, run: cardKept},
		"lcardback":   {crew: true, run: cardBack},
		"lreplan":     {leader: true, run: replanPressed},
		"lout":        {leader: true, run: outPressed},
		"loutside":    {leader: true, run: outsidePressed},
		"lmax":        {leader: true, run: maxPressed},
		"lslip":       {leader: true, run: slipPressed},
		"lbring":      {leader: true, run: bringPressed},
		"lmoved":      {leader: true, run: movedPressed},
		"lseries":     {leader: true, run: seriesPressed},
		"lsign":       {leader: true, run: signOffPressed},
		"lsigned":     {leader: true, run: signed},
		"lnotsigned":  {leader: true, run: notSigned},
		"ldived":      {leader: true, run: divedPressed},
		"lup":         {leader: true, run: upPressed},
		"lrevoke":     {leader: true, run: revokePressed},
		"lnotrevoked": {leader: true, run: notRevoked},
		"lconsent":    {leader: true, run: answerConsent},
		"lphoto":      {crew: true, run: openOnly(photoPressed)},
		"gin":         {crew: true, run: openOnly(gatePressed)},
		"gall":        {crew: true, run: openOnly(gateAllPressed)},
		"gno":         {crew: true, run: gateRefused},
		"gshut":       {leader: true, run: gateShut},
		"gnew":        {leader: true, run: openOnly(gateNew)},
		"ladd":        {crew: true, run: openOnly(addPressed)},
		"llead":       {leader: true, run: openOnly(leadPressed)},
		"take":        {run: openOnly(takePressed)},
		"lcalloff":    {leader: true, run: openOnly(callOffPressed)},
		"lputon":      {leader: true, run: putOnPressed},
		"lpostpone":   {leader: true, run: openOnly(postponePressed)},
		"ldrop":       {leader: true, run: openOnly(dropPressed)},
	}
	leaderStates = map[State]stateText{
		stateWho:          whoTyped,
		stateFor:          forTyped,
		stateWitness:      witnessTyped,
		stateSite:         siteTyped,
		stateSiteBottom:   bottomTyped,
		stateSiteSure:     siteSureTyped,
		stateLimit:        limitTyped,
		stateDived:        divedTyped,
		stateUp:           upTyped,
		stateRefilled:     refilledTyped,
		stateChangedWhich: changedTyped,
		stateOut:          outTyped,
		stateBack:         backTyped,
		stateOutside:      outsideTyped,
		stateSign:         signTyped,
		stateReopenWhy:    reopenWhyTyped,
		stateRevoke:       revokeTyped,
		stateAdd:          addTyped,
		stateCallOff:      callOffTyped,
		statePostpone:     postponeTyped,
		stateDrop:         dropTyped,
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

// openOnly is the same of a button.
func openOnly(run func(t *turn, args []string)) func(t *turn, args []string) {
	return func(t *turn, args []string) {
		if t.trip.Over(t.now) {
			t.sayOver()
			return
		}
		run(t, args)
	}
}
