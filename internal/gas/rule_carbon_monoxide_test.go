package gas

import "math"

func co(ppm float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) { c.CO = Amount{Value: ppm, Known: true} }
}

func ppm(measured, limit float64) Finding {
	return Finding{Measured: Of(measured), Limit: Of(limit), Margin: Of(limit - measured), Unit: "ppm"}
}

// The limits are those of testdata/gas/purity.csv: EN 12021 5 ppm, HSE 3 ppm.
var carbonMonoxideExamples = []example{
	{name: "none", set: co(0), want: coClean, more: ppm(0, 5)},
	{name: "3", set: co(3), want: coClean, more: ppm(3, 5)},
	{name: "3.1", set: co(3.1), want: coAsk, more: ppm(3.1, 3)},
	{name: "5", set: co(5), want: coAsk, more: ppm(5, 3)},
	{name: "5.1", set: co(5.1), want: coFoul, more: ppm(5.1, 5)},
	{name: "8 under a policy of 10",
		set:  func(p *Policy, d *Diver, c *Cylinder) { p.MaxCO, c.CO = 10, Of(8) },
		want: coAsk, more: ppm(8, 3)},
	{name: "2.5 under a policy of 2",
		set:  func(p *Policy, d *Diver, c *Cylinder) { p.MaxCO, c.CO = 2, Of(2.5) },
		want: coFoul, more: ppm(2.5, 2)},
	{name: "everything", set: co(math.Inf(1)), want: coFoul, more: ppm(1e6, 5)},
	{name: "not measured", want: coNotGiven},
	{name: "no number", set: co(math.NaN()), want: coNotGiven},
}
