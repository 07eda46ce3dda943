package conversation

// shopChanged applies what the shop asked of the trip and tells everybody
// whom it affects.
func (t *turn) shopChanged(c Change) {}
