package evidence

// 5. Another cylinder. A label that comes back is the same cylinder with the
// same history. A reading counts in another place only if both were known to be
// one cylinder when it was taken.

// joined tells whether two places were known to have the same cylinder at a
// moment, in the order of saying.
func (h *History) joined(place, other string, nth int) bool {
	return place == other || h.Joined == nil || h.Joined(place, other).Nth <= nth
}

// known tells whether a place was known to have the cylinder of a reading when that
// was taken.
func (h *History) known(place string, r *Reading) bool {
	return place == r.Place || h.Joined == nil || !h.Joined(place, r.Place).after(r)
}

// elsewhere tells whether a reading is of before its cylinder was known to be the
// one in the case's place.
func (f *finder) elsewhere(r *Reading) bool {
	return f.c.Since.after(r) || !f.h.known(f.c.Place, r)
}

// after tells whether a reading was taken or said before the moment. Taken and
// said count both: a number from paper may be entered long after.
func (m Moment) after(r *Reading) bool {
	return !m.IsZero() && (r.Nth <= m.Nth || r.Taken.Before(m.At))
}
