package judge

// Hear keeps what was said or done, as one stored change, and holds every signature against it.
// What its speaker may not do has no effect.
func (d *Day) Hear(change ...Said) {
	d.heard = append(d.heard, change)
	for _, s := range change {
		d.count++
		if hear := hearers[s.Kind]; hear != nil {
			hear(d, s)
		}
	}
	d.compareSignatures()
}

// hearers tell who keeps which kind. Renaming is heard by nobody: a name is no fact.
var hearers map[Kind]func(*Day, Said)

func init() {
	hearers = map[Kind]func(*Day, Said){
		SaidReading: (*Day).hearReading, SaidCorrection: (*Day).correct, SaidUndo: (*Day).undo,
		SaidWitness: (*Day).nameWitness, SaidShown: (*Day).hearShown, SaidSeriesAside: (*Day).setSeriesAside,
		SaidQuestion:  (*Day).hearQuestion,
		SaidAnswer:    func(d *Day, s Said) { delete(d.questions, s.Question) },
		SaidWithdrawn: func(d *Day, s Said) { delete(d.questions, s.Question) },
		SaidAirPoint:  (*Day).hearAirPoint,
		SaidWeather:   func(d *Day, s Said) { d.weather = s.Weather },
		SaidCarbonMonoxide: func(d *Day, s Said) {
			if q := d.place(s.Cylinder); q != nil {
				d.hearCarbonMonoxide(s, q.body)
			}
		},
		SaidFill: (*Day).hearFill, SaidAnother: (*Day).hearAnother, SaidLabel: (*Day).hearLabel,
		SaidRequest: (*Day).hearRequest, SaidAdded: (*Day).hearAdded,
		SaidRetired: func(d *Day, s Said) { d.hearMoved(s, 0) },
		SaidMoved:   func(d *Day, s Said) { d.hearMoved(s, s.Dive) },
		SaidNotUsed: (*Day).hearNotUsed, SaidReplanned: (*Day).hearReplanned,
		SaidBoatCheck: (*Day).hearBoatCheck, SaidBoatAnswer: (*Day).hearBoatAnswer,
		SaidCard: (*Day).hearCard, SaidQualification: (*Day).hearQualification,
		SaidLimit: (*Day).hearLimit, SaidTeam: (*Day).hearTeam,
		SaidOut: (*Day).hearOut, SaidBack: (*Day).hearOut,
		SaidOutside: (*Day).hearOutside, SaidOutsideBack: (*Day).hearOutside,
		SaidHelium: (*Day).hearHelium, SaidHeliumSlip: (*Day).hearHelium,
		SaidInvite: (*Day).hearInvite, SaidWaits: (*Day).hearWaits,
		SaidLetIn: (*Day).hearLetIn, SaidSentAway: (*Day).hearSentAway,
		SaidCalledOff: (*Day).hearCalledOff, SaidPutOn: (*Day).hearCalledOff, SaidDropped: (*Day).hearDropped,
		SaidPerson: (*Day).hearPerson,
		SaidLeft:   (*Day).hearLeft, SaidForgot: (*Day).hearLeft, SaidRemoved: (*Day).hearLeft,
		SaidBroughtBack: (*Day).hearBroughtBack,
		SaidHandOver:    (*Day).hearHandOver, SaidTakeOver: (*Day).hearTakeOver, SaidRole: (*Day).hearRole,
		SaidLast24: (*Day).hearLast24,
		SaidPlan:   (*Day).hearPlan, SaidStart: (*Day).hearStart, SaidPolicy: (*Day).hearPolicy,
		SaidConsent: (*Day).hearConsent,
		SaidDived:   (*Day).hearDived, SaidDivedBack: (*Day).hearDivedBack, SaidNotDived: (*Day).hearNotDived,
		SaidDivedMyself: (*Day).hearDivedMyself,
		SaidSign:        (*Day).hearSign,
		SaidUnsigned:    (*Day).hearUnsigned,
	}
}
