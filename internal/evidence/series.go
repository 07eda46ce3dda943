package evidence

import "slices"

// seriesOff is how far an analysis of the shop lies off the diver's to be one of a
// series, in points.
const seriesOff = 1.0

// ShopOff are the shop's analyses of the present filling that lie off the diver's last
// reading of it, richer and leaner. Those that were set aside are among them.
func ShopOff(h *History, c *Case) (richer, leaner []string) {
	f := finder{h: h, c: c}
	f.replay()
	last := f.lastOfDiver()
	for i := range f.items {
		r := f.items[i].r
		switch {
		case last == nil || f.items[i].undone || !r.shop():
		case !over(seriesOff, float64(r.Percent-last.Percent)):
			richer = append(richer, r.ID)
		case !over(seriesOff, float64(last.Percent-r.Percent)):
			leaner = append(leaner, r.ID)
		}
	}
	return f.withRepeats(richer), f.withRepeats(leaner)
}

// withRepeats adds to readings those that only say one of them again.
func (f *finder) withRepeats(ids []string) []string {
	for _, pair := range f.said {
		if slices.Contains(ids, pair[1].ID) {
			ids = append(ids, pair[0].ID)
		}
	}
	return ids
}

// lastOfDiver is the last reading that its own diver took or somebody watched, nil when
// there is none.
func (f *finder) lastOfDiver() *Reading {
	var last *Reading
	for i := range f.items {
		if r := f.items[i].r; !f.items[i].undone && (r.own(r.Of) || r.watched(r.Of)) {
			last = r
		}
	}
	return last
}
