// Package roster is a trip as data: people, cylinders, readings with their
// whole history, sign-offs; what a trip's board says; and the port of the
// store that keeps it.
package roster
