// Package shopapi is the shop's HTTP API under /v1/ and its OpenAPI document.
//
//	request -> log -> key -> rate -> body limit -> Idempotency-Key -> handler
//	           (api.go) (auth.go)   (rate.go)     (idempotent.go)
//
// A handler reads its body with the strict reader of document.go, which
// collects every fault with its place, turns it into a roster.Trip or a
// conversation.Change (trip_in.go, diver_in.go), hands that to the one door in,
// and answers with what the store holds afterwards (trip_out.go, board.go,
// fill_list.go). Everything that goes wrong is a problem document (problem.go).
//
// A trip as CSV becomes the same document first, and each fault found in it
// gets its cell back:
//
//	bytes --csv.go--> rows and cells --csv_trip.go--> document, cell of each pointer
//
// One trip as JSON, both ways, is described at tripJSON. To add a call: a
// handler file, a line in the table of routes in api.go and a path in
// openapi.json; a test fails while the two disagree, and another tries it with
// the key of another shop. To add a column to the CSV: a line in csv_columns.go,
// README.md and openapi.json.
package shopapi
