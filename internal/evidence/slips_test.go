package evidence_test

import (
	"testing"

	"gasmuster/internal/gas"
)

func TestSlips(t *testing.T) {
	run(t, []say{
		{name: "half a point and no no-go: nothing to show", counting: []string{"r2"}, more: slip(gas.SlipSmall),
			tell: func(d *told) {
				d.own("r1", 32.6, -90)
				d.correct("r1", "r2", 32.1, -89)
			}},
		{name: "over half a point, leaner", compared: []string{"r2"}, more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.own("r1", 32.7, -90)
				d.correct("r1", "r2", 32.1, -89)
			}},
		{name: "over half a point, richer", compared: []string{"r2"}, more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.correct("r1", "r2", 32.7, -89)
			}},
		{name: "takes a no-go back, however little", compared: []string{"r2"}, more: slip(gas.SlipStops),
			tell: func(d *told) {
				d.stopsFrom(32.2)
				d.own("r1", 32.2, -90)
				d.correct("r1", "r2", 32.1, -89)
			}},
		{name: "shown by the diver's own within 0.5 two minutes later", counting: []string{"r2", "r3"},
			more: slip(gas.SlipShown),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.correct("r1", "r2", 32, -89)
				d.own("r3", 32.5, -87)
			}},
		{name: "a minute later shows nothing", counting: []string{"r3"}, compared: []string{"r2", "r3"},
			more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.correct("r1", "r2", 32, -89)
				d.own("r3", 32.1, -88)
			}},
		{name: "0.6 off shows nothing", counting: []string{"r3"}, compared: []string{"r2", "r3"}, more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.correct("r1", "r2", 32, -89)
				d.own("r3", 32.6, -80)
			}},
		{name: "a watched one within 1.0", counting: []string{"r2", "r3"}, more: slip(gas.SlipShown),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.correct("r1", "r2", 32, -89)
				d.watched("r3", 33, -88)
			}},
		{name: "what showed it is taken back", compared: []string{"r2", "r3"}, more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.correct("r1", "r2", 32, -89)
				d.own("r3", 32.1, -80)
				d.undo("r3", false, -70)
			}},
		{name: "a chain of small corrections keeps what the first left open", compared: []string{"r3"},
			more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.own("r1", 32.8, -90)
				d.correct("r1", "r2", 32.4, -89)
				d.correct("r2", "r3", 32, -88)
			}},
		{name: "undo with nothing said: a no-go stays", more: slip(gas.SlipStops), counting: nil,
			tell: func(d *told) {
				d.stopsFrom(35)
				d.own("r1", 36.2, -90)
				d.undo("r1", true, -89)
			}},
		{name: "undo, and the next number is the one", compared: []string{"r2"}, more: slip(gas.SlipStops),
			tell: func(d *told) {
				d.stopsFrom(35)
				d.own("r1", 36.2, -90)
				d.undo("r1", true, -89)
				d.own("r2", 32, -80)
			}},
		{name: "undo, and the next number is much the same", counting: []string{"r2"}, more: slip(gas.SlipSmall),
			tell: func(d *told) {
				d.own("r1", 32.4, -90)
				d.undo("r1", true, -89)
				d.own("r2", 32.1, -88)
			}},
		{name: "undo, and the next is watched", counting: []string{"r2"}, more: slip(gas.SlipSmall),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.undo("r1", true, -89)
				d.watched("r2", 32, -80)
			}},
		{name: "a fill ends it", counting: []string{"r3"}, more: slip(gas.SlipNone),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.correct("r1", "r2", 32, -89)
				d.fill(false, -80)
				d.own("r3", 32, -70)
			}},
	})
}
