package roster

import (
	"strconv"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// Air is the weather of the place where analysers are calibrated, as it was said
// last.
type Air struct {
	gas.Weather
	By PersonID  `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Monoxide is carbon monoxide measured in a cylinder, ppm.
type Monoxide struct {
	evidence.Moment
	PPM float64  `json:"ppm"`
	By  PersonID `json:"by,omitempty"`
}

// SetAir records the weather; the zero weather forgets it. It is that of the
// readings and air points said from now on.
func (d *Draft) SetAir(w gas.Weather, by PersonID, now time.Time) {
	was := d.Air.Weather
	if was == w {
		return
	}
	d.EditPlan().Air = Air{Weather: w, By: by, At: now}
	d.act(now, by, VerbAir, "", "", "was", airText(was), "now", airText(w))
}

func airText(w gas.Weather) string {
	if !w.Known {
		return ""
	}
	return strconv.FormatFloat(w.Celsius, 'f', -1, 64) + " C, " + strconv.FormatFloat(w.Humidity, 'f', -1, 64) + " %"
}

// SetCO records the carbon monoxide that was measured in a cylinder at an instant, zero
// for now. The highest since the last fill counts.
func (d *Draft) SetCO(c CylinderID, ppm float64, taken time.Time, by PersonID, now time.Time) {
	_, cyl := d.Cylinder(c)
	if cyl == nil {
		return
	}
	was := ""
	if n := len(cyl.COs); n > 0 {
		was = number(cyl.COs[n-1].PPM)
	}
	cyl = d.EditCylinder(c)
	m := Monoxide{Moment: d.moment(now), PPM: ppm, By: by}
	if !taken.IsZero() {
		m.At = earlier(taken, now)
	}
	cyl.COs = append(cyl.COs, m)
	d.act(now, by, VerbCO, string(c), "", "was", was, "now", strconv.FormatFloat(ppm, 'f', -1, 64))
}
