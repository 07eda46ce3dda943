// Package web is what all pages and calls of the service share: the headers that every
// answer carries and the refusal of what other sites post (guard.go), pages that are
// made whole before their first byte leaves (page.go), budgets of requests (rate.go),
// and where a request comes from (client.go).
package web
