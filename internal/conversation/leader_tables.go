package conversation

// The leader's entries of the three tables in step.go; each subject has a
// leader_*.go file of its own.
var (
	leaderCommands = map[string]command{}
	leaderButtons  = map[string]button{}
	leaderStates   = map[State]stateText{}
)
