package shopapi

import (
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// shopReadingJSON answers the shop's own analysis: the diver still analyses,
// and the two are compared.
type shopReadingJSON struct {
	ID       roster.ReadingID  `json:"id"`
	Cylinder roster.CylinderID `json:"cylinder"`
	Person   roster.PersonID   `json:"person"`
	Percent  gas.Percent       `json:"percent"`
	Analyser string            `json:"analyser,omitempty"`
	At       time.Time         `json:"taken_at"`
	Owed     bool              `json:"diver_still_owes"`
	// Compared is the repeat rule's finding, when the diver's reading is there.
	Compared *booking.Finding `json:"compared,omitempty"`
}

// compared is what the repeat rule found on a cylinder; nil while there is one
// reading only.
func (a *api) compared(findings []gas.Finding, c roster.CylinderID) *booking.Finding {
	for _, f := range findings {
		if f.Rule == gas.RuleRepeat && f.Cylinder == string(c) && f.Severity != gas.NotApplicable {
			out := booking.FindingOf(f, a.english)
			return &out
		}
	}
	return nil
}

// reading takes the shop's own analysis after the fill.
func (a *api) reading(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	r := conversation.ShopReading{Cylinder: roster.CylinderID(o.NeedText("cylinder")),
		Percent:  gas.Percent(o.NeedNumber("percent")),
		Analyser: o.Text("analyser"), Initials: o.Text("initials"), At: pastMoment(o, "taken_at", c.now)}
	if sure := o.Yes("sure"); o.Fields["percent"] != nil {
		f.Likely("/percent", float64(r.Percent), sure)
	}
	if len([]rune(r.Analyser)) > roster.MaxName {
		o.Fault("analyser", "has more than %d characters", roster.MaxName)
	}
	if len([]rune(r.Initials)) > booking.MaxInitials {
		o.Fault("initials", "has more than %d characters", booking.MaxInitials)
	}
	o.Close()
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		found := f
		if _, cyl := t.Cylinder(r.Cylinder); r.Cylinder != "" && (cyl == nil || !cyl.Retired.IsZero()) {
			found.Add("/cylinder", "is %s, which is no cylinder in use on this trip", booking.Quoted(string(r.Cylinder)))
		}
		return conversation.Change{Reading: &r}, found.Err()
	})
	if !ok {
		return
	}
	p, cyl := t.Cylinder(r.Cylinder)
	line := t.Clearance(p.ID, cyl.Dive, c.now)
	out := shopReadingJSON{ID: newestOfShop(cyl), Cylinder: r.Cylinder, Person: p.ID, Percent: r.Percent,
		Analyser: r.Analyser, At: r.At}
	for _, o := range line.Owes {
		out.Owed = out.Owed || o.Cylinder == r.Cylinder
	}
	out.Compared = a.compared(line.Verdict.Findings, r.Cylinder)
	answer(c.w, http.StatusCreated, out)
}

// newestOfShop is the shop's own reading that was recorded last.
func newestOfShop(c *roster.Cylinder) roster.ReadingID {
	for _, r := range slices.Backward(c.Readings) {
		if r.Entrant == gas.ByShop {
			return r.ID
		}
	}
	return ""
}
