// Package shopapi is the shop's HTTP API under /v1/ and its OpenAPI document.
//
//	request -> log -> key -> rate -> body limit -> Idempotency-Key -> handler
//	           (api.go) (auth.go)   (rate.go)     (idempotent.go)
//
// A handler reads its body with the strict reader of package booking, which
// collects every fault with its place and makes a roster.Draft or a
// conversation.Change of it, hands that to the one door in, and answers with
// what the store holds afterwards (trip_out.go, board.go, fills.go). Everything
// that goes wrong is a problem document (problem.go).
//
// It is one package because the calls share one table of routes, one way to refuse and
// one form of a trip. Its files:
//
//   - what every call goes through: api.go, auth.go, rate.go, idempotent.go, accept.go
//     (which media type), tags.go (which version), problem.go;
//   - trips: trips.go, by_ref.go (by the shop's own number), trip_out.go (as answered),
//     divers.go, diver_changed.go, announce.go, messages.go, invites.go, letters.go;
//   - the day: board.go, readings.go, signatures.go, fills.go, fills_csv.go,
//     fills_sheet.go, days.go (all boats), papers.go, blends.go;
//   - webhook.go: where the shop hears of events.
//
// One trip as JSON, as it is answered, is described at tripJSON. To add a call:
// a handler file, a line in the table of routes in api.go and a path in
// openapi.json; a test fails while the two disagree, and another tries it with
// the key of another shop. To add a column to the CSV: a line in
// booking/csv_columns.go, README.md and openapi.json.
package shopapi
