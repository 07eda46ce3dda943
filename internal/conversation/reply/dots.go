package reply

// ellipses makes a sign between a label and its reading of three dots:
// "14... 32.5". Behind any other number they are only a pause: what follows may
// be a second thought, "32... 31.5".
func (m *message) ellipses() {
	out := m.toks[:0]
	for i := 0; i < len(m.toks); i++ {
		end := i
		for end < len(m.toks) && m.toks[end].kind == kStop && m.toks[end].text == "." {
			end++
		}
		t := m.toks[i]
		if end-i > 1 {
			last := len(out) - 1
			if last >= 0 && m.isKnown(out[last]) && end < len(m.toks) && m.toks[end].decimals > 0 {
				t.kind = kArrow
			}
			i = end - 1
		}
		out = append(out, t)
	}
	m.toks = out
}
