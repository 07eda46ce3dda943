package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os/signal"
	"syscall"

	"gasmuster/internal/app"
)

// runServe runs the service until SIGINT or SIGTERM; a second signal ends it
// at once.
func runServe(args []string, stdout, stderr io.Writer) int {
	if code, done := parse(flag.NewFlagSet("serve", flag.ContinueOnError), args, 0, stdout, stderr); done {
		return code
	}
	cfg, problems := app.FromEnvironment()
	if hard := report(stderr, problems, false); hard > 0 {
		return exitUsage
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // from then on a signal has its ordinary effect
	if err := app.Serve(ctx, cfg, app.NewLog(cfg, stderr)); err != nil {
		fmt.Fprintf(stderr, "bot serve: %v\n", err)
		return exitError
	}
	return exitOK
}

// report prints problems, the soft ones too when all is set, and counts those
// that keep the service from starting.
func report(w io.Writer, problems []app.Problem, all bool) (hard int) {
	for _, p := range problems {
		if !p.Soft {
			hard++
		}
		if !p.Soft || all {
			fmt.Fprintln(w, p)
		}
	}
	return hard
}
