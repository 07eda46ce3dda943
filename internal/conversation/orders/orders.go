// Package orders reads what a leader types with a command: for whom, which cylinder,
// which dive, which site, how deep, how long, why. It is text in and values out, in ten
// languages: nothing here changes a trip, asks back or knows what was said before. What
// a diver types is read by package reply.
//
// The words of the writer's language become English first (keywords.go, dives.go); the
// rest is read in English. A function called Take reads one thing off the words, mostly
// off the front, and gives back what is left; one called Read reads a whole text. What
// can't be taken comes back as a line to say, empty when nothing is wrong.
package orders
