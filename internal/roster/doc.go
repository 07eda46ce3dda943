// Package roster is a trip as data: people, cylinders, readings with their
// whole history, signatures; what it comes to for one diver on one dive; and the
// port of the store that keeps it.
//
//	Load -> Trip --Change--> Draft --Done--> Trip -> Commit
//	Trip.Board(dive, now)  -> the Clearance of everybody on that dive
//	Draft.SignOff          -> facts; Standing tells whether they are still the same
//
// It is one package because a trip, its draft and its clearances look into each other:
// a draft copies what no other may write to, and a clearance is kept in the trip that it
// is of.
//
// A newcomer finds, in the order of thinking:
//
//   - what is stored: trip.go, cylinder.go, signature.go, gate.go (who is not on it),
//     host.go; how it is named: identity.go, label.go, level.go, clean.go; what it must
//     be: validate.go, schedule.go; where to find it: find.go, day.go;
//   - what may be written: draft.go;
//   - what is said and done, one file a subject: readings.go, corrections.go,
//     hurried.go, analysers.go, air.go, cylinders.go, questions.go, series.go, boat.go, plan.go, dives.go, limits.go,
//     people.go, roles.go, outs.go, erase.go, redact.go, queue.go, calloff.go, mistyped.go,
//     untold.go, with the verbs in act.go; who may do it in who.go;
//   - what it comes to: physical.go (which places are one cylinder), looking.go
//     (the question put to package evidence), legs.go (the dives before), clearance.go
//     (one diver's), board.go and boards.go (all of them together), patterns.go, known.go (what need not be
//     worked out again);
//   - what a leader signed: signoff.go, facts.go, factnames.go, differs.go, signed.go;
//   - the store's port: store.go, news.go (rdb keeps it in Redis).
//
// Nothing that was said is lost: a reading taken back, a cylinder retired, a
// signature broken stay in the trip. Nothing gets better by somebody's absence, by
// time passing, or by anybody's own act as leader. A change never has to say that
// it is news: Done compares.
package roster
