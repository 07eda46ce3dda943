// Package demo is the whole service with a made-up charter, on a store inside
// the process: no account and no server needed, and nothing is kept.
//
//	bot demo         pages: every diver's phone, the leader's, the shop's, and a
//	                 clock that can be moved        (pages.go, shop_page.go)
//	bot demo --play  the same charter played in the terminal from the evening
//	                 before to sign-off, and a trip started from a phone (play.go, script.go, next_trip.go)
//	bot demo --messages  a page with every message in every language, for
//	                 native speakers to read        (messages.go)
//
// charter.go is the charter, service.go puts the service together around a
// movable clock (clock.go). Everything that is said and decided is said and
// decided by the service itself.
package demo

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/signal"
	"syscall"
	"time"
)

// Exit codes, as those of every command.
const (
	exitOK    = 0
	exitError = 1
	exitUsage = 2
)

const accepted = "accepted: --listen HOST:PORT, --play, --play --fast, --messages, --messages --to FILE"

// Run is the command "bot demo".
func Run(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return run(ctx, args, stdout, stderr)
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet("demo", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	listen := f.String("listen", "127.0.0.1:8080", "`address` of the page")
	play := f.Bool("play", false, "play the day in the terminal")
	fast := f.Bool("fast", false, "with --play: without pauses")
	messages := f.Bool("messages", false, "write a page with every message in every language")
	to := f.String("to", "messages.html", "with --messages: the `file` to write, - for the terminal")
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintln(stdout, "usage: bot demo [--listen HOST:PORT] | bot demo --play [--fast] | bot demo --messages "+
			"[--to FILE]")
		f.SetOutput(stdout)
		f.PrintDefaults()
		return exitOK
	case err != nil:
		fmt.Fprintf(stderr, "bot demo: %v; %s\n", err, accepted)
		return exitUsage
	case f.NArg() > 0:
		fmt.Fprintf(stderr, "bot demo: %q is too much; %s\n", f.Arg(0), accepted)
		return exitUsage
	case *fast && !*play:
		fmt.Fprintf(stderr, "bot demo: --fast goes with --play; %s\n", accepted)
		return exitUsage
	case *messages && *play:
		fmt.Fprintf(stderr, "bot demo: --messages and --play exclude each other; %s\n", accepted)
		return exitUsage
	case *messages:
		return runMessages(ctx, *to, stdout, stderr)
	case *play:
		return runPlay(ctx, days, *fast, stdout, stderr)
	}
	return runPages(ctx, *listen, stdout, stderr)
}

// runPages serves the demo's pages until ctx ends.
func runPages(ctx context.Context, listen string, stdout, stderr io.Writer) int {
	l, err := net.Listen("tcp", listen)
	if err != nil {
		fmt.Fprintf(stderr, "bot demo: can't listen on %s: %v. Another program may be using that port: give a free one, "+
			"such as --listen 127.0.0.1:8081\n", listen, err)
		return exitError
	}
	defer l.Close()
	address := "http://" + l.Addr().String()
	s, err := start(ctx, address, evening)
	if err != nil {
		fmt.Fprintf(stderr, "bot demo: %v\n", err)
		return exitError
	}
	defer s.stop()
	s.clock.run()
	go s.goOn(ctx)
	server := &http.Server{Handler: pages(s), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second,
		WriteTimeout: 30 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10}
	fmt.Fprintf(stdout, "The demo is at %s\nOpen it in a browser: every diver's phone, the leader's and the shop's "+
		"are there, and a clock to move.\nNothing is kept: the charter and all its people are made up and gone when this "+
		"ends (Ctrl-C).\n", address)
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err = <-done:
		fmt.Fprintf(stderr, "bot demo: %v\n", err)
		return exitError
	case <-ctx.Done():
	}
	s.EndStreams()
	ending, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if server.Shutdown(ending) != nil {
		_ = server.Close()
	}
	return exitOK
}
