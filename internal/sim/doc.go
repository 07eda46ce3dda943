// Package sim plays whole days that nobody wrote: random people, numbers, clocks and faults, and holds
// the product against the reference judge after everything that is said.
//
// A day is one number. From it the director makes what was booked and, event by event, what is said; it
// looks at the judge's verdicts to choose something sensible, or trouble. What comes out is a plain list
// of words of package judge, so that a day can be played again, and made shorter, without the director:
//
//	seed --Make--> Day{Booked, []Said} --Play--> the first Disagreement, or none
//	Disagreement --Shrink--> the shortest day that still shows it --Tell--> words
//
// booked.go and scenes_*.go files make days. product*.go tell the same words to roster's drafts,
// compare.go holds what both found against each other, passed.go tells what it passes over, and
// invariants.go holds the product against what must be true of any day.
//
// On one day in four people talk: spoken.go has what they type and press for what they want to say, voice.go
// plays it through conversation.Step, and told.go holds what everybody is told against the judge. A text that
// is understood as something else shows as a disagreement. On one day in seven a host starts the trip from the phone
// (hosted.go), and the group comes by the open invite.
package sim
