package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// shopReadingJSON answers the shop's own analysis: the diver still analyses,
// and the two are compared.
type shopReadingJSON struct {
	Cylinder roster.CylinderID `json:"cylinder"`
	Person   roster.PersonID   `json:"person"`
	Percent  gas.Percent       `json:"percent"`
	Analyser string            `json:"analyser,omitempty"`
	At       time.Time         `json:"taken_at"`
	Owed     bool              `json:"diver_still_owes"`
	// Compared is the repeat rule's finding, when the diver's reading is there.
	Compared *findingJSON `json:"compared,omitempty"`
}

// compared is what the repeat rule found on a cylinder; nil while there is one
// reading only.
func (a *api) compared(findings []gas.Finding, c roster.CylinderID) *findingJSON {
	for _, f := range findings {
		if f.Rule == gas.RuleRepeat && f.Cylinder == string(c) && f.Severity != gas.NotApplicable {
			out := a.findingOut(f)
			return &out
		}
	}
	return nil
}

// reading takes the shop's own analysis after the fill.
func (a *api) reading(c *call) {
	var f faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := objectAt("", v, &f)
	r := conversation.ShopReading{Cylinder: roster.CylinderID(o.needText("cylinder")),
		Percent: gas.Percent(o.needNumber("percent")), Analyser: o.text("analyser"),
		At: pastMoment(o, "taken_at", c.now)}
	if _, given := o.fields["percent"]; given && (r.Percent <= 0 || r.Percent > 100) {
		o.fault("percent", "is %s: more than 0, to 100 is accepted", plain(float64(r.Percent)))
	}
	if len([]rune(r.Analyser)) > roster.MaxName {
		o.fault("analyser", "has more than %d characters", roster.MaxName)
	}
	o.close()
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		found := f
		if _, cyl := t.Cylinder(r.Cylinder); r.Cylinder != "" && (cyl == nil || !cyl.Retired.IsZero()) {
			found.add("/cylinder", "is %s, which is no cylinder in use on this trip", quoted(string(r.Cylinder)))
		}
		return conversation.Change{Reading: &r}, found.err()
	})
	if !ok {
		return
	}
	p, _ := t.Cylinder(r.Cylinder)
	b := t.Board(c.now)
	out := shopReadingJSON{Cylinder: r.Cylinder, Person: p.ID, Percent: r.Percent, Analyser: r.Analyser, At: r.At}
	if pb := b.Of(p.ID); pb != nil {
		for _, o := range pb.Owes {
			out.Owed = out.Owed || o.Cylinder == r.Cylinder
		}
		out.Compared = a.compared(pb.Verdict.Findings, r.Cylinder)
	}
	answer(c.w, http.StatusCreated, out)
}
