// Package desk is the shop's office in a browser, under /desk: pages made on the
// server, usable without script, in the shop's language.
//
//	request -> guard (policy, other origins) -> session -> page or form
//	           (guard.go)                      (session.go)
//
// A page shows what roster and booking say of the stored trips. A form becomes
// the same document as a call of the API (forms.go), is judged by the same
// reader, and goes through the same door; what is wrong comes back on the same
// page, beside its field. Nothing is stored by a GET.
//
// To add a page: a handler in a file of its own, a template in assets, a line in
// the table of routes in desk.go; a test tries each route without a session and
// with another shop's.
package desk
