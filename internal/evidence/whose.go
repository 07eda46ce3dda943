package evidence

import "slices"

// 1. Whose. A reading counts for a diver when that diver took it, or when it was
// said of that diver's cylinder and somebody other than that diver watched it. The
// shop's own analysis never does.

// counts tells whether a reading can count for the case's diver.
func (c *Case) counts(r *Reading) bool { return r.watched(c.Diver) || r.own(c.Diver) }

// watched tells whether somebody other than the diver watched it for that diver.
func (r *Reading) watched(diver string) bool {
	return r.Witness != "" && r.Witness != diver && r.Of == diver
}

// own tells whether the diver took it of their own and nobody watched.
func (r *Reading) own(diver string) bool {
	return r.By == diver && r.Of == diver && diver != "" && r.Witness == ""
}

// shop tells whether it is the shop's own analysis.
func (r *Reading) shop() bool { return r.By == "" && r.Witness == "" }

// seen tells whether somebody watched it who had no part in the cylinder then: only
// such a reading settles anything or shows a number again.
func (h *History) seen(r *Reading) bool { return r.Witness != "" && !h.holder(r.Witness, r) }

// holder tells whether somebody was known to have or to have had the cylinder when r
// was said.
func (h *History) holder(id string, r *Reading) bool {
	return slices.ContainsFunc(h.Holders, func(p Holder) bool {
		return p.Diver == id &&
			h.joined(p.Place, r.Place, r.Nth)
	})
}
