package message

import "gasmuster/internal/roster"

// Plan is a dive's plan in words: site, depth, minutes, bottom.
func Plan(d roster.Dive) Line {
	a := Args{"site": Name(d.Site), "depth": Planned(d.Depth)}
	key := "plan"
	if d.Minutes > 0 {
		key, a["minutes"] = key+".minutes", Minutes(d.Minutes)
	}
	switch {
	case d.Bottomless:
		key += ".bottomless"
	case d.Bottom.Known():
		key, a["bottom"] = key+".bottom", Bottom(d.Bottom)
	}
	return Say(key, a)
}
