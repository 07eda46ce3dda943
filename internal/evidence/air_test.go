package evidence_test

import (
	"testing"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

func TestAirPoints(t *testing.T) {
	for _, c := range []struct {
		name       string
		air        gas.Percent
		weather    gas.Weather
		state      gas.AirPointState
		rich, lean gas.Percent
	}{
		{"20.9", 20.9, gas.Weather{}, gas.AirPointFits, 32, 32},
		{"20.7", 20.7, gas.Weather{}, gas.AirPointFits, 32 * 20.9 / 20.7, 32},
		{"20.6 is a note, and reads low", 20.6, gas.Weather{}, gas.AirPointLow, 32 * 20.9 / 20.6, 32},
		{"20.2", 20.2, gas.Weather{}, gas.AirPointLow, 32 * 20.9 / 20.2, 32},
		{"20.1", 20.1, gas.Weather{}, gas.AirPointOff, 32 * 20.9 / 20.1, 32},
		{"21.1 makes nothing leaner", 21.1, gas.Weather{}, gas.AirPointFits, 32, 32},
		{"21.2", 21.2, gas.Weather{}, gas.AirPointOff, 32, 32},
		// 30 C and 80 %: air of 20.25 % oxygen, see gas.Weather.
		{"20.4 in humid air", 20.4, gas.Weather{Celsius: 30, Humidity: 80, Known: true}, gas.AirPointFits, 32, 32},
		{"20.9 in humid air", 20.9, gas.Weather{Celsius: 30, Humidity: 80, Known: true}, gas.AirPointOff, 32, 32},
		{"none in humid air", 0, gas.Weather{Celsius: 30, Humidity: 80, Known: true}, gas.AirPointNone, 32,
			32 * gas.Weather{Celsius: 30, Humidity: 80, Known: true}.Oxygen(0) / 20.9},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := cylinder()
			r := d.own("r1", 32, -90)
			r.AirPoint, r.Weather = c.air, c.weather
			e := evidence.Find(&d.h, &d.c)
			if e.AirPoint.State != c.state || !near(e.Rich, c.rich) || !near(e.Lean, c.lean) {
				t.Errorf("got %d, %v, %v; want %d, %v, %v", e.AirPoint.State, e.Rich, e.Lean, c.state, c.rich, c.lean)
			}
			if off := c.state == gas.AirPointOff; e.Counts() == off {
				t.Errorf("counts: got %v", e.Counts())
			}
		})
	}
}

func near(a, b gas.Percent) bool { return a-b < 1e-9 && b-a < 1e-9 }

// The air point of a reading that does not count says nothing of those that do.
func TestTheAirPointIsOfTheReadingsThatCount(t *testing.T) {
	for _, c := range []struct {
		name  string
		tell  func(*told)
		state gas.AirPointState
		count int
	}{
		{"a second reading whose analyser is off", func(d *told) {
			d.own("r1", 32.2, -90)
			d.own("r2", 32.3, -80).AirPoint = 21.2
		}, gas.AirPointNone, 1},
		{"the only one, off", func(d *told) { d.own("r1", 32.2, -90).AirPoint = 21.2 }, gas.AirPointOff, 0},
		{"off, and stale as well", func(d *told) { d.own("r1", 32.2, -25*60).AirPoint = 21.2 }, gas.AirPointOff, 0},
		{"low, and stale", func(d *told) { d.own("r1", 32.2, -25*60).AirPoint = 20.2 }, gas.AirPointNone, 0},
		{"one of two low", func(d *told) {
			d.own("r1", 32.2, -90).AirPoint = 20.5
			d.own("r2", 32.3, -80).AirPoint = 20.9
		}, gas.AirPointLow, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := cylinder()
			c.tell(d)
			e := evidence.Find(&d.h, &d.c)
			if e.AirPoint.State != c.state || len(e.Counting) != c.count {
				t.Errorf("got %d, %d counting; want %d, %d", e.AirPoint.State, len(e.Counting), c.state, c.count)
			}
		})
	}
}
