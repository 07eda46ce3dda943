package shopapi

import (
	"bytes"
	"encoding/csv"
	"errors"
	"net/http"
	"strconv"
	"time"

	"gasmuster/internal/blends"
	"gasmuster/internal/booking"
	"gasmuster/internal/roster"
)

// mostBlended bounds the trips of one report.
const mostBlended = 1000

// blendsJSON is blend quality over the trips that depart in [from, to).
type blendsJSON struct {
	From  time.Time `json:"from"`
	To    time.Time `json:"to"`
	Trips int       `json:"trips"`
	// LeftOut counts readings below 20.0 %: faults of an analyser.
	LeftOut int `json:"left_out"`
	blends.Report
}

// blendQuality is asked against measured: JSON, CSV, or a chart.
func (a *api) blendQuality(c *call) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), "from", "to")
	from := queryTime(c, "from", c.now.AddDate(0, 0, -31), &f)
	to := queryTime(c, "to", c.now.AddDate(0, 0, 7), &f)
	if len(f.List) == 0 && !from.Before(to) {
		f.Add("?to", "is not after from")
	}
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	media, ok := c.wants(typeJSON, booking.TypeCSV, typePNG)
	if !ok {
		return
	}
	out, samples, zone, err := a.blendsOf(c, from, to)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	switch media {
	case typePNG:
		body, err := a.press(c).Chart(samples, c.language(), zone)
		a.file(c, typePNG, "blends.png", body, err)
	case booking.TypeCSV:
		a.file(c, booking.TypeCSV+"; charset=utf-8; header=present", "blends.csv", blendsCSV(out.Report), nil)
	default:
		answer(c.w, http.StatusOK, out)
	}
}

// blendsOf gathers the samples of all trips, and the time zone of the last one.
func (a *api) blendsOf(c *call, from, to time.Time) (blendsJSON, []blends.Sample, *time.Location, error) {
	out, zone := blendsJSON{From: from.UTC(), To: to.UTC()}, time.UTC
	ids, err := a.Trips.List(c.Context(), c.shop.ID, from, to)
	if err != nil {
		return out, nil, nil, err
	}
	if len(ids) > mostBlended {
		return out, nil, nil, &booking.Refusal{Status: http.StatusUnprocessableEntity, Detail: "Nothing was worked out.",
			Faults: []booking.Fault{{Pointer: "?from", Detail: "leaves " + strconv.Itoa(len(ids)) + " trips: up to " +
				strconv.Itoa(mostBlended) + " are accepted, so ask for a shorter span"}}}
	}
	var samples []blends.Sample
	for _, id := range ids {
		loaded, err := a.Trips.Load(c.Context(), id, "")
		if errors.Is(err, roster.ErrNotFound) {
			continue // erased between the two reads
		}
		if err != nil {
			return out, nil, nil, err
		}
		some, faulty := blends.Of(loaded.Trip)
		samples, out.LeftOut, out.Trips = append(samples, some...), out.LeftOut+faulty, out.Trips+1
		if z, err := time.LoadLocation(loaded.Trip.Zone); err == nil {
			zone = z
		}
	}
	out.Report = blends.Summarise(samples)
	return out, samples, zone, nil
}

// blendsCSV has one row a group, as RFC 4180 writes it.
func blendsCSV(r blends.Report) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.Write([]string{"by", "key", "count", "fills", "mean", "mean_off", "standard_deviation", "lowest_off",
		"highest_off", "within_1_0_count", "within_1_0"})
	row := func(by, key string, s blends.Summary) {
		sd := ""
		if s.Spread != nil {
			sd = booking.Plain(*s.Spread)
		}
		_ = w.Write([]string{by, textCell(key), strconv.Itoa(s.Count), strconv.Itoa(s.Fills), booking.Plain(s.Mean),
			booking.Plain(s.Off), sd,
			booking.Plain(s.Lowest), booking.Plain(s.Highest), strconv.Itoa(s.Inside), booking.Plain(s.Share)})
	}
	row("overall", "", r.Overall)
	for _, part := range []struct {
		by     string
		groups []blends.Group
	}{{"blend", r.ByBlend}, {"analyser", r.ByAnalyser}, {"day", r.ByDay}} {
		for _, g := range part.groups {
			row(part.by, g.Key, g.Summary)
		}
	}
	w.Flush()
	return b.Bytes()
}
