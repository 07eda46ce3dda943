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
// It is one package because all three forms share the list of faults with their places,
// and an unknown word, a wrong number or a missing cell is the same fault in each. Its
// files, in the order of thinking:
//
//   - what is wrong, and where: fault.go, wrong.go, places.go, refusal.go;
//   - a document: document.go (strict JSON), trip_in.go, diver_in.go (a new trip),
//     trip_change.go, diver_change.go, roles_change.go with merge.go (a change), booked.go
//     (how a stored trip reads as one), copy.go (a trip booked again);
//   - a file: file.go, csv.go, xlsx.go (bytes to cells), grid.go (rows), header.go,
//     csv_columns.go (what a column is), cells.go, cells_depth.go (what a cell holds),
//     csv_trip.go (rows to a document), trip_read.go;
//   - what a shop does: office.go, acts.go, bring_to.go, hosts.go;
//   - what it takes away: check.go (requests before the fill), fill_list.go,
//     fill_sheet.go, calendar.go.
//
// Office is a shop's way to its trips: another shop's are as absent as one that
// never was.
package booking
