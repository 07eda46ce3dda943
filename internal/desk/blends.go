package desk

import (
	"time"

	"gasmuster/internal/blends"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
)

// blendsPage is how what was filled compares with what was ordered.
type blendsPage struct {
	page
	Trips  string
	Groups []blendGroup
}

type blendGroup struct{ Blend, Count, Off, Within string }

// samples are the fills of the shop's last weeks.
func (d *Desk) samples(v *visit) (int, []blends.Sample, error) {
	trips, _, err := d.office.Between(v.Context(), v.shop.ID, v.now.AddDate(0, 0, -31), v.now.AddDate(0, 0, 7), mostBoats)
	if err != nil {
		return 0, nil, err
	}
	var samples []blends.Sample
	for _, t := range trips {
		some, _ := blends.Of(t)
		samples = append(samples, some...)
	}
	return len(trips), samples, nil
}

func (p page) groups(samples []blends.Sample) (list []blendGroup) {
	for _, g := range blends.Summarise(samples).ByBlend {
		list = append(list, blendGroup{g.Key + " %", p.value(message.Count(g.Count)), p.value(message.Points(g.Off)),
			p.value(message.Count(g.Inside))})
	}
	return list
}

func (d *Desk) blendChart(v *visit) {
	_, samples, err := d.samples(v)
	var body []byte
	if err == nil {
		body, err = papers.Press{Words: d.Renderer, Now: v.now}.Chart(samples, v.page.Lang, time.UTC)
	}
	d.file(v, "image/png", "", body, err)
}
