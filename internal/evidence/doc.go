// Package evidence tells which reading of a cylinder counts. It looks at all
// that was ever said of one physical cylinder, for one diver on one dive at one
// instant, and knows nothing of trips, people's names or stores.
//
//	History + Case  --Find-->  gas.Evidence
//
// Everything is told again in the order in which it was said (replay.go): a
// reading is compared with those before it, a fill takes them away, a watched
// reading settles what disagrees. Then each reading is asked whether it counts.
// The rules have a file each:
//
//	whose.go     who may take a reading for whom
//	when.go      how old it may be, the boat check, a dive that was dived
//	compared.go  what disagrees, and what settles it
//	slips.go     a number that was taken back, and what has to be shown again
//	places.go    a label that comes back, a cylinder in two places
//	fills.go     what a fill takes away
//	air.go       what the analyser showed in air
//	measured.go  numbers that look as if no analyser had shown them
//	asked.go     how far from the request
//	stood.go     what a cylinder was when a dive with it began
//
// Nothing here gets better by time passing: Evidence.Until says until when it
// holds if nothing happens.
package evidence
