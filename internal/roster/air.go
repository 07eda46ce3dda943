package roster

import (
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// Air is the air at the dock, where the analysers are calibrated, by a leader.
type Air struct {
	gas.Weather
	By PersonID  `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Monoxide is carbon monoxide measured in a cylinder, ppm.
type Monoxide struct {
	PPM float64   `json:"ppm"`
	By  PersonID  `json:"by,omitempty"`
	At  time.Time `json:"at"`
}

// SetAir records the air at the dock; the zero weather forgets it. The readings
// taken there are checked against it, those on the boat are not.
func (t *Trip) SetAir(w gas.Weather, by PersonID, now time.Time) {
	was := t.Air.Weather
	if was == w {
		return
	}
	t.newsOfPeople(by, VerbAir, now)
	t.Air = Air{Weather: w, By: by, At: now}
	t.act(now, by, VerbAir, "", "", "was", airText(was), "now", airText(w))
}

func airText(w gas.Weather) string {
	if !w.Known {
		return ""
	}
	return strconv.FormatFloat(w.Celsius, 'f', -1, 64) + " C, " + strconv.FormatFloat(w.Humidity, 'f', -1, 64) + " %"
}

// SetCO records the carbon monoxide measured in a cylinder. A later fill voids
// it, as it voids the readings.
func (t *Trip) SetCO(c CylinderID, ppm float64, by PersonID, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil {
		return
	}
	t.news(cyl.Dive, by, VerbCO, now)
	was := ""
	if cyl.CO != nil {
		was = strconv.FormatFloat(cyl.CO.PPM, 'f', -1, 64)
	}
	cyl.CO = &Monoxide{PPM: ppm, By: by, At: now}
	t.act(now, by, VerbCO, string(c), "", "was", was, "now", strconv.FormatFloat(ppm, 'f', -1, 64))
}

// monoxide is what was measured since the last fill.
func (c *Cylinder) monoxide() gas.Amount {
	if c.CO == nil || !c.CO.At.After(c.Filled().At) {
		return gas.Amount{}
	}
	return gas.Of(c.CO.PPM)
}

// weather is the air of a reading's analyser.
func (t *Trip) weather(r *Reading) gas.Weather {
	if r.Stage != gas.Dock {
		return gas.Weather{}
	}
	return t.Air.Weather
}
