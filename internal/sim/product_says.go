package sim

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// saying tells the product one thing. What its speaker may not do the product has to refuse by itself.
type saying func(*product, *roster.Draft, judge.Said)

var sayings map[judge.Kind]saying

func init() {
	sayings = map[judge.Kind]saying{
		judge.SaidReading: (*product).reads, judge.SaidCorrection: (*product).corrects, judge.SaidUndo: (*product).undoes,
		judge.SaidWitness: (*product).witness, judge.SaidShown: (*product).shows, judge.SaidQuestion: (*product).asks,
		judge.SaidAnswer: (*product).answers, judge.SaidWithdrawn: (*product).answers,
		judge.SaidAirPoint: (*product).airPoint, judge.SaidWeather: (*product).weather,
		judge.SaidCarbonMonoxide: (*product).monoxide,
		judge.SaidSeriesAside:    (*product).seriesAside,
		judge.SaidFill:           (*product).fills, judge.SaidAnother: (*product).swaps, judge.SaidLabel: (*product).labels,
		judge.SaidRequest: (*product).requests, judge.SaidAdded: (*product).adds, judge.SaidRetired: (*product).retires,
		judge.SaidMoved: (*product).moves, judge.SaidNotUsed: (*product).notUsed, judge.SaidReplanned: (*product).replans,
		judge.SaidBoatCheck: (*product).opensCheck, judge.SaidBoatAnswer: (*product).answersBoat,
		judge.SaidCard: (*product).card, judge.SaidQualification: (*product).qualifies, judge.SaidLimit: (*product).limits,
		judge.SaidTeam: (*product).team, judge.SaidOut: (*product).out, judge.SaidBack: (*product).back,
		judge.SaidOutside: (*product).outside, judge.SaidOutsideBack: (*product).outsideBack,
		judge.SaidHelium: (*product).helium, judge.SaidHeliumSlip: (*product).heliumSlip,
		judge.SaidInvite: (*product).invites, judge.SaidWaits: (*product).knocks, judge.SaidLetIn: (*product).letsIn,
		judge.SaidSentAway: (*product).sendsAway, judge.SaidDropped: (*product).drops,
		judge.SaidPerson: (*product).walksIn, judge.SaidLeft: (*product).leaves, judge.SaidRemoved: (*product).leaves,
		judge.SaidForgot: (*product).forgets, judge.SaidBroughtBack: (*product).broughtBack,
		judge.SaidHandOver: (*product).handsOver, judge.SaidTakeOver: (*product).takesOver, judge.SaidRole: (*product).role,
		judge.SaidCalledOff: (*product).callsOff, judge.SaidPutOn: (*product).putsOn,
		judge.SaidLast24: (*product).dived24,
		judge.SaidPlan:   (*product).newPlan, judge.SaidStart: (*product).newStart, judge.SaidPolicy: (*product).newPolicy,
		judge.SaidConsent: (*product).consents,
		judge.SaidDived:   (*product).dived, judge.SaidDivedBack: (*product).divedBack,
		judge.SaidNotDived:    (*product).notDived,
		judge.SaidDivedMyself: (*product).divedMyself, judge.SaidSign: (*product).signs,
		judge.SaidUnsigned: (*product).unsigns,
	}
}

func (p *product) reads(d *roster.Draft, s judge.Said) {
	c, by := p.inUse(d.Trip, s.Cylinder), p.by(s.By)
	r := roster.Reading{Percent: gas.Percent(s.Value), At: s.At, Ref: s.Message, By: by, Analyser: s.Analyser,
		AirPoint: gas.Percent(s.AirPoint), Weather: s.Weather, Witness: p.people.product[s.Witness]}
	if r.Ref == "" {
		r.Ref = "of " + string(s.Reading)
	}
	if s.By == judge.Shop {
		r.Entrant = gas.ByShop
	}
	owner, _ := d.Cylinder(c.ID)
	if speaker := d.Person(by); !s.Taken.IsZero() && speaker != nil && speaker != owner &&
		(speaker.Leader || speaker.Crew) && speaker.Left.IsZero() {
		r.Taken = s.Taken // from paper
	} else if !s.Taken.IsZero() {
		r.At = s.Taken
	}
	if recorded := d.Record(c.ID, r, s.At); recorded != nil {
		p.readings.keep(s.Reading, recorded.ID)
	}
	if s.HasCO {
		p.monoxide(d, s)
	}
}

func (p *product) corrects(d *roster.Draft, s judge.Said) {
	if r := d.Correct(p.readings.product[s.Of], gas.Percent(s.Value), p.by(s.By), s.At, s.At); r != nil &&
		p.readings.day[r.ID] == "" {
		p.readings.keep(s.Reading, r.ID)
	}
}

func (p *product) undoes(d *roster.Draft, s judge.Said) {
	d.Undo(p.readings.product[s.Of], p.by(s.By), s.At)
}

func (p *product) witness(d *roster.Draft, s judge.Said) {
	d.NameWitness(p.inUse(d.Trip, s.Cylinder).ID, p.people.product[s.Witness], p.by(s.By), s.At)
}

func (p *product) shows(d *roster.Draft, s judge.Said) {
	how := gas.ShownDecimals
	if s.NoDecimals {
		how = gas.ShownNoDecimal
	}
	d.Confirm(p.readings.product[s.Of], how, p.by(s.By), s.At)
}

func (p *product) asks(d *roster.Draft, s judge.Said) {
	var list []roster.CylinderID
	for _, c := range s.Cylinders {
		list = append(list, p.inUse(d.Trip, c).ID)
	}
	p.questions[s.Question] = d.Ask(list, roster.QuestionWhich, gas.Percent(s.Value), p.by(s.By), s.At)
}

func (p *product) answers(d *roster.Draft, s judge.Said) {
	d.CloseQuestion(p.questions[s.Question], s.Kind == judge.SaidAnswer, p.by(s.By), s.At)
}

func (p *product) airPoint(d *roster.Draft, s judge.Said) {
	var of []roster.ReadingID
	if s.Of != "" {
		of = append(of, p.readings.product[s.Of])
	}
	if !d.AirPointOf(of, gas.Percent(s.AirPoint), s.Weather, p.by(s.By), s.At) {
		d.SetAirPoint(s.Analyser, gas.Percent(s.AirPoint), s.Weather, p.by(s.By), s.At)
	}
}

func (p *product) weather(d *roster.Draft, s judge.Said) { d.SetAir(s.Weather, p.by(s.By), s.At) }

func (p *product) monoxide(d *roster.Draft, s judge.Said) {
	d.SetCO(p.inUse(d.Trip, s.Cylinder).ID, s.CO, s.Taken, p.by(s.By), s.At)
}

func (p *product) seriesAside(d *roster.Draft, s judge.Said) { d.SetAsideSeries(p.by(s.By), s.At) }

func (p *product) fills(d *roster.Draft, s judge.Said) {
	d.Fill(p.inUse(d.Trip, s.Cylinder).ID, s.At, p.by(s.By), s.At)
}

func (p *product) swaps(d *roster.Draft, s judge.Said) {
	d.Swap(p.inUse(d.Trip, s.Cylinder).ID, s.Label, p.by(s.By), "", s.At)
}

func (p *product) labels(d *roster.Draft, s judge.Said) {
	d.SetLabel(p.inUse(d.Trip, s.Cylinder).ID, s.Label, p.by(s.By), s.At)
}

func (p *product) requests(d *roster.Draft, s judge.Said) {
	d.SetAsked(p.inUse(d.Trip, s.Cylinder).ID, gas.Percent(s.Asked), p.by(s.By), s.At)
}

func (p *product) adds(d *roster.Draft, s judge.Said) {
	c := d.AddCylinder(p.people.product[s.Person], s.New.Dive, gas.Percent(s.New.Asked), s.New.Label, p.by(s.By), s.At)
	if c != nil {
		p.cylinders.keep(s.New.ID, c.ID)
	}
}

func (p *product) retires(d *roster.Draft, s judge.Said) {
	d.Retire(p.inUse(d.Trip, s.Cylinder).ID, p.by(s.By), "", s.At)
}

func (p *product) moves(d *roster.Draft, s judge.Said) {
	d.MoveCylinder(p.inUse(d.Trip, s.Cylinder).ID, s.Dive, p.by(s.By), s.At)
}

// notUsed is said of all that stood in a place: what left its findings on a dive may be gone, with another one there.
func (p *product) notUsed(d *roster.Draft, s judge.Said) {
	owner, _ := d.Cylinder(p.cylinders.product[s.Cylinder])
	for _, c := range owner.Cylinders {
		if c.At() == p.cylinders.product[s.Cylinder] {
			d.ConfirmMoved(c.ID, s.Dive, p.by(s.By), s.At)
		}
	}
}

func (p *product) replans(d *roster.Draft, s judge.Said) {
	d.Replan(p.inUse(d.Trip, s.Cylinder).ID, p.by(s.By), s.At)
}

func (p *product) opensCheck(d *roster.Draft, s judge.Said) { d.OpenBoat(s.Dive, p.by(s.By), s.At) }

func (p *product) answersBoat(d *roster.Draft, s judge.Said) {
	answer := map[judge.Boat]string{judge.BoatKept: roster.Kept, judge.BoatChanged: roster.OutOfSight,
		judge.BoatNotSure: roster.Unsure}[s.Boat]
	d.Attend(p.inUse(d.Trip, s.Cylinder).ID, answer, p.by(s.By), s.At)
}
