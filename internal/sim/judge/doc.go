// Package judge is the reference judge: the rules of product.md written a second
// time, slowly and plainly, so that the product can be held against them.
//
// A Day is opened with what was booked. It hears what was said or done, one
// stored change after the other, and tells the verdicts of any moment:
//
//	Booked --Open--> Day --Hear(Said...)--> Day --At(now)--> Verdicts
//
// Hearing keeps facts only: who said which number of which cylinder, and what was
// true at that moment and stays true (a witness, a slip). All judging is done anew
// at every look, without a cache. Judge does the whole of it in one call.
//
// The files follow product.md. booked.go, said.go and verdicts.go are the words that
// go in and come out; hear_*.go keep what was said; evidence_*.go tell which reading
// counts; rules_*.go are the table of the check; clearance.go, board.go and
// signature.go put it together; improve.go tells what may make a clearance greener.
// CHOICES.md lists every place where a sentence could be read in two ways.
package judge
