package conversation

// queueMoves gives free analysers to those who wait and tells them.
func (t *turn) queueMoves() {}
