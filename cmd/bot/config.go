package main

import (
	"flag"
	"fmt"
	"io"

	"gasmuster/internal/app"
)

// runConfig prints what is in effect, secrets hidden, and every problem.
func runConfig(args []string, stdout, stderr io.Writer) int {
	if code, done := parse(flag.NewFlagSet("config", flag.ContinueOnError), args, 0, stdout, stderr); done {
		return code
	}
	cfg, problems := app.FromEnvironment()
	for _, s := range cfg.Settings() {
		fmt.Fprintf(stdout, "%-36s %-28s %s\n", s.Name, s.Value, s.Meaning)
	}
	if len(problems) == 0 {
		return exitOK
	}
	fmt.Fprintf(stdout, "\n%d to put right:\n", len(problems))
	report(stdout, problems, true)
	return exitError
}
