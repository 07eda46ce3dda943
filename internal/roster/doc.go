// Package roster is a trip as data: people, cylinders, readings with their
// whole history, sign-offs; what a trip's board says; and the port of the
// store that keeps it.
//
//	Load -> Trip -> its methods change it and note an Act each -> Commit
//	                Board(now) says what it comes to
//
// A newcomer finds: the stored form in trip.go, the board's in board.go and how
// it is worked out in assess.go, the store's port in store.go (rdb keeps it in
// Redis); how a trip is changed in one file a subject: readings.go,
// analysers.go, cylinders.go, boat.go, dives.go, people.go, signoff.go,
// queue.go; what a trip must be in validate.go. The verbs of acts are in
// act.go.
//
// Nothing that was said is lost: a reading taken back, a cylinder retired, a
// sign-off reopened stay in the trip. Nothing gets better by somebody's absence.
package roster
