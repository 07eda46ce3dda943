package demo

import "time"

// The made-up charter: invented people on an invented day. It goes in through
// the shop's API like any other trip.

// zone is the trip's; on that day it is at UTC.
const zone = "Atlantic/Azores"

// The moments of the day that the clock can be moved to.
var (
	evening   = at(14, 17, 30)
	announced = at(14, 18, 0)
	early     = at(15, 6, 50)
	dock      = at(15, 7, 0)
	departs   = at(15, 8, 30)
	boat      = at(15, 8, 40)
	afterOne  = at(15, 9, 55)
	nextDay   = at(16, 8, 10) // the trip that Inês starts herself, leaves at 9
)

func at(day, hour, minute int) time.Time {
	where, err := time.LoadLocation(zone)
	if err != nil {
		panic(err) // embedded, see roster
	}
	return time.Date(2027, time.May, day, hour, minute, 0, 0, where)
}

// charter is what the shop sends. Tomasz asked for a blend that is too rich for
// the first site; Yusuf has no enriched-air card and breathes air; Aoife has no
// phone; Lucía reads feet, and nobody has seen her card yet. Duarte drives the boat.
const charter = `{
 "name": "Saturday two-tank", "time_zone": "Atlantic/Azores", "departs_at": "2027-05-15T08:30:00Z", "first_dive_after": 20, "units": "m",
 "dives": [
  {"site": "Anvil Ledge", "depth": 37, "bottom": 40, "minutes": 7},
  {"site": "Lime Kiln Wall", "depth": 21, "bottom": 24, "minutes": 28, "interval": 95}],
 "analysers": ["A", "B"],
 "leaders": [
  {"name": "Inês", "card": "seen", "language": "en", "cylinders": [{"label": "L1", "asked": 28}, {"label": "L2", "asked": 34, "dive": 2}]}],
 "divers": [
  {"name": "Tomasz", "card": "seen", "team": "1", "cylinders": [{"label": "T1", "asked": 34}, {"label": "T2", "asked": 34, "dive": 2}]},
  {"name": "Lucía", "card": "unseen", "team": "1", "units": "ft", "cylinders": [{"label": "U1", "asked": 28}, {"label": "U2", "asked": 34, "dive": 2}]},
  {"name": "Yusuf", "card": "none", "team": "2", "cylinders": [{"label": "Y1", "asked": 21, "owner": "shop"}, {"label": "Y2", "asked": 21, "dive": 2}]},
  {"name": "Aoife", "card": "seen", "team": "2", "cylinders": [{"label": "A1", "asked": 28}, {"label": "A2", "asked": 34, "dive": 2}]}],
 "crew": [{"name": "Duarte", "card": "none", "language": "en"}]}`
