// Package conversation is the dialogue with divers and leaders as a pure state
// machine: no I/O, no clock of its own, nothing that waits.
//
//	Step(Input{Trip, Session, Event, Now}) -> Result{Trip, Session, Letters, Wake, ...}
//
// Step leaves the trip it is given as it is, and returns the one that is to be
// committed with everything else. What is said is built in package message, whom to
// remind is decided in package reminders.
//
// What can be told apart from a turn is in packages of its own: reply (what a diver
// typed), orders (what a leader typed), when (days and times), newcomer and newtrip (the
// questions to people on no trip). The rest is one package because every answer reads
// and writes the same turn: the draft of the trip, the session, what was said so far. A
// leader dives too and answers as a diver does; what a diver says is told to the leaders
// with the buttons that settle it. Cut by who speaks, more than a third of the code would
// have to lie in a room that all share, and six hundred methods of the turn become
// functions over it.
//
// A file's name begins with whom it answers:
//
//   - the machine: event.go (what goes in and comes out), step.go (one event, top to
//     bottom), turn.go (what a turn knows, saying, asking), commands.go,
//     diver_tables.go, leader_tables.go (what may be typed and pressed), typed_button.go
//     and typed_words.go (what was typed, in the actor's words), full.go, happening.go;
//   - diver_*.go: what whoever breathes the gas is asked, says and is answered;
//   - leader_*.go: what leaders and crew look at and do, and what they are told;
//   - cylinder_*.go, queue.go: what divers and leaders do alike: a cylinder put down or
//     taken off, the queue for the analysers; group.go: the group chat;
//   - shop_*.go: what the shop changes, and when people hear of it;
//   - clock_*.go: what is due by the clock;
//   - told_*.go: after every event, what no longer is as somebody was told.
package conversation
