package roster

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// The kinds of questions about a number: is it in range, was it a slip, which
// cylinder is meant, was the number before it wrong or is this a second analysis.
const (
	QuestionRange = "range"
	QuestionSlip  = "slip"
	QuestionWhich = "which"
	QuestionAgain = "again"
)

// And about what was said of a cylinder without a number: which one was changed
// for another, or filled again.
const (
	QuestionSwap   = "swap"
	QuestionRefill = "refill"
)

// QuestionBoat asks again what was answered: words after "it stayed with me" that
// may take it back.
const QuestionBoat = "boat"

// AnsweredBy tells whether another number for one of its cylinders answers a
// question: it is the number that was asked about, or that one could not be taken
// as it was and was meant for no other cylinder. A number that was read, and of
// which only the place or the kind is not known, is not undone by the next.
func (q *Question) AnsweredBy(p gas.Percent, places int) bool {
	switch {
	case q.Kind == QuestionSwap || q.Kind == QuestionRefill:
		return false
	case q.Percent == p || !q.Percent.Known():
		return true
	case q.Kind == QuestionWhich || q.Kind == QuestionAgain:
		return false
	}
	return places == 1
}

// PlacesAsked is of how many cylinders a question is asked.
func (t *Trip) PlacesAsked(id string) int { return len(t.asking(id)) }

// Ask opens a question about a number, 0 for none, for all cylinders that it may
// be meant for: none of them is cleared until it is answered or taken back. It returns the
// question's id, "" when there is no such cylinder.
func (d *Draft) Ask(cylinders []CylinderID, kind string, p gas.Percent, by PersonID, now time.Time) string {
	cylinders = slices.DeleteFunc(slices.Clone(cylinders), func(c CylinderID) bool {
		_, cyl := d.Cylinder(c)
		return cyl == nil
	})
	if len(cylinders) == 0 {
		return ""
	}
	at := d.moment(now)
	id := "q" + strconv.Itoa(at.Nth)
	for _, c := range cylinders {
		cyl := d.EditCylinder(c)
		cyl.Questions = append(cyl.Questions, Question{Moment: at, ID: id, Kind: kind, Percent: p, By: by})
	}
	d.act(now, by, VerbQuestion, string(cylinders[0]), "", "question", id, "kind", kind, "percent", percentText(p))
	return id
}

// Quote keeps the words that a question is about, for whoever is told of them.
func (d *Draft) Quote(id, words string) {
	for _, q := range d.asking(id) {
		if q.Was == words {
			continue
		}
		cyl := d.EditCylinder(q.cylinder)
		for i := range cyl.Questions {
			if cyl.Questions[i].ID == id {
				cyl.Questions[i].Was = words
			}
		}
	}
}

// CloseQuestion ends a question, answered or taken back: by who asked, a diver whom
// it concerns, leader or crew. It returns false for anybody else, and when there is
// no such question.
func (d *Draft) CloseQuestion(id string, answered bool, by PersonID, now time.Time) bool {
	open := d.asking(id)
	if !slices.ContainsFunc(open, func(q asked) bool { return d.mayClose(q, by) }) {
		return false
	}
	how := "withdrawn"
	if answered {
		how = "answered"
	}
	for _, q := range open {
		cyl := d.EditCylinder(q.cylinder)
		cyl.Questions = slices.DeleteFunc(cyl.Questions, func(q Question) bool { return q.ID == id })
		d.act(now, by, VerbQuestionClosed, string(q.cylinder), "", "question", id, "how", how)
	}
	return true
}

// asked is a question with the cylinder that it is asked about.
type asked struct {
	Question
	owner    PersonID
	cylinder CylinderID
}

// asking are all places of a question.
func (t *Trip) asking(id string) []asked {
	var open []asked
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			for _, q := range c.Questions {
				if q.ID == id && id != "" {
					open = append(open, asked{q, p.ID, c.ID})
				}
			}
		}
	}
	return open
}

func (t *Trip) mayClose(q asked, by PersonID) bool { return by == q.By || by == q.owner || t.staff(by) }
