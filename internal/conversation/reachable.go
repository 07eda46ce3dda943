package conversation

// lost notes that a person can't be reached and tells the leaders.
func (t *turn) lost() {}

// found notes that a person can be reached again.
func (t *turn) found() {}
