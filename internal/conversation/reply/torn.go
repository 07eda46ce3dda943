package reply

// Numbers that belong together: torn by a slip, ends of a span, a blend with
// blanks.

// slipped notices a number torn in two: "3 2.4", "32 4", "32 .4".
func (w *walker) slipped(i int) bool {
	if i+1 >= len(w.toks) {
		return false
	}
	t, n := w.toks[i], w.toks[i+1]
	if n.kind != kNumber || n.unit != noUnit || !t.whole() || t.plausible() && n.plausible() {
		return false
	}
	whole := 0.0
	switch {
	case n.value < 1 && n.decimals > 0 && t.plausible():
		whole = t.value + n.value
	case t.value < 10 && n.value < 10 && n.decimals == 1:
		whole = t.value*10 + n.value
	case t.plausible() && n.whole() && n.value < 10 && len(n.text) == 1 && !w.isKnown(n):
		whole = t.value + n.value/10
	}
	if plausibly(whole) == 0 {
		return false
	}
	both := w.bareOf(i, Slip, plausibly(whole))
	both.Text = clip(t.text + " " + n.text)
	w.doubts = append(w.doubts, both)
	w.toks[i+1].kind = kTaken
	return true
}

func (w *walker) isKnown(t token) bool { _, ok := w.known(t); return ok }

// spanned notices "31-32", "31 to 32" and "32 or 33", and a blend typed with
// blanks, "32 / 68".
func (w *walker) spanned(i int) bool {
	if i+2 >= len(w.toks) {
		return false
	}
	t, mid, n := w.toks[i], w.toks[i+1], w.toks[i+2]
	if n.kind == kNumber && mid.text == "/" && t.value+n.value == 100 {
		w.orders = append(w.orders, w.bareOf(i, Blend, 0))
		w.toks[i+2].kind = kTaken
		return true
	}
	if n.kind != kNumber || mid.class != span && !(mid.kind == kDash && mid.glued) {
		return false
	}
	if mid.kind == kDash {
		if w.isKnown(t) || t.whole() && !t.plausible() {
			return w.dashLabel(i)
		}
	}
	both := w.bareOf(i, Vague, 0)
	both.Text = clip(t.text + " " + mid.text + " " + n.text)
	w.doubts = append(w.doubts, both)
	w.toks[i+2].kind = kTaken
	return true
}

// dashLabel is "17-32.4".
func (w *walker) dashLabel(i int) bool {
	name, known := w.known(w.toks[i])
	if !known {
		name = w.toks[i].text
	}
	if w.toks[i].plausible() && w.toks[i+2].whole() {
		return w.labelOrReading(i, name, known)
	}
	return w.useLabel(i, name)
}
