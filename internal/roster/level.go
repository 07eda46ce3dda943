package roster

// Level is how much a message is needed. The door out sends lower levels first,
// over all processes. This list is the only place that says the order; the
// store's scripts are given the number of its entries and go by that.
type Level uint8

// The levels, the most needed first.
const (
	LevelVerdict      Level = iota // how somebody stands, and what a leader must know at once
	LevelAnswer                    // what somebody waits for, who wrote or pressed something
	LevelWord                      // what a leader, the crew or the shop's changes want somebody to know
	LevelReminder                  // by the clock
	LevelAnnouncement              // to many: the evening before, the shop's words
	LevelStranger                  // to somebody on no trip; never stored

	Levels = iota // how many there are
)
