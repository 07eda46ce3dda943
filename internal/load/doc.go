// Package load measures what the service costs and how fast it is: the figures
// of "make bench". It has benchmarks and one test; nothing here fails because a
// machine is slow. Every figure is printed in a table at the end beside the
// value that the design promises.
//
//	charter_test.go   boats full of divers, and what they type
//	gun_test.go       64 connections that fire prepared requests
//	echo_test.go      the yardstick: a bot that only echoes
//	server_test.go    a redis-server of our own, the service around it
//	reading_test.go   rate of one reading against the echo's
//	sidebyside_test.go  the same against the commit alone and a framework's bot
//	latency_test.go   latency at a steady 500 a second against the echo's
//	roundtrips_test.go  how often one reading goes to the store and back
//	board_test.go     a board of forty from the store to its text
//	memory_test.go    what a day's trip takes in Redis
//	process_test.go   the built program: start, idle memory
//	waiting_test.go   how long a diver waits for the verdict
//	hour_test.go      an hour of a thousand boats, for "make hour" alone
//	sending_test.go   how much of the sending budget is used
//	window_test.go    a Bot API server with a strict limit
//	size_test.go      a reading and a tick among many stored trips
//
// Comparisons run side by side: what is compared takes turns within one run.
package load
