// Package booking is what a shop writes down of a trip, whoever brings it: the
// API, the desk or the command line. It reads documents and files into trips
// and changes, says what is wrong with them and where, checks requests before
// the fill, and makes the fill list.
//
//	JSON ----------------------------------\
//	CSV, XLSX --> rows and cells --> document --> roster.Draft or conversation.Change
//
// A file becomes the same document as JSON first (csv_trip.go), and each fault
// found in it gets its cell back. Everything that is wrong is collected
// (document.go) and comes as one Refusal with a place for each fault.
//
// Office is a shop's way to its trips: another shop's are as absent as one that
// never was.
package booking
