package conversation

// groupText answers what was typed in a group chat.
func (t *turn) groupText() {}
