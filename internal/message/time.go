package message

import "time"

// time writes a clock, a day, a date or a moment, in the value's zone or the
// reader's.
func (w writer) time(v Value) string {
	name := v.S
	if name == "" {
		name = w.to.Zone
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		zone, name = time.UTC, "UTC"
	}
	t := v.rare().T.In(zone)
	switch v.Kind {
	case KindClock:
		return w.clock(t)
	case KindDay:
		return w.day(t)
	case KindDate:
		return w.date(t)
	}
	return w.word("time.moment", "weekday", w.word("time.weekday."+t.Format("Mon")), "date", w.date(t),
		"clock", w.clock(t), "zone", zone.String(), "offset", t.Format("-07:00"))
}

func (w writer) clock(t time.Time) string {
	return w.word("time.clock", "h", t.Format("15"), "m", t.Format("04"))
}

func (w writer) day(t time.Time) string {
	return w.word("time.day", "weekday", w.word("time.weekday."+t.Format("Mon")), "day", t.Format("2"), "month",
		w.month(t))
}

func (w writer) date(t time.Time) string {
	return w.word("time.date", "day", t.Format("2"), "month", w.month(t), "year", t.Format("2006"))
}

func (w writer) month(t time.Time) string { return w.word("time.month." + t.Format("Jan")) }
