// Command bot is gasmuster: a chat bot and webhook service that has every
// diver of a charter trip analyse every cylinder, and gives the dive leader a
// go / no-go board. Run it without arguments for the list of commands.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	_ "time/tzdata" // trips name their zone, and images without one exist

	"gasmuster/internal/demo"
)

// Exit codes of every command but check, which has more.
const (
	exitOK    = 0
	exitError = 1
	exitUsage = 2
)

// command is one subcommand.
type command struct {
	name, does string
	run        func(args []string, stdout, stderr io.Writer) int
}

func commandList() []command {
	return []command{
		{"demo", "the whole service with a made-up charter, no account and no server needed", demo.Run},
		{"check", "one gas check on the command line", runCheck},
		{"serve", "the service; needs a Redis", runServe},
		{"shop", "the shops of a deployment: shop add NAME, shop list, shop rotate NAME", runShop},
		{"host", "who may start trips from their phone: host add NAME [--shop NAME], host list, host remove NAME", runHost},
		{"trip", "trips from the command line: trip import FILE [--shop NAME], trip list, trip show ID", runTrip},
		{"config", "the effective settings and every problem with them", runConfig},
		{"health", "ask a running service whether it is ready; exit 0 or 1", runHealth},
		{"version", "version, commit and Go version", runVersion},
	}
}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		usage(stderr)
		return exitUsage
	}
	name := args[0]
	if name == "help" || name == "-h" || name == "--help" || name == "-help" {
		usage(stdout)
		return exitOK
	}
	for _, c := range commandList() {
		if c.name == name {
			return c.run(args[1:], stdout, stderr)
		}
	}
	fmt.Fprintf(stderr, "bot: %q is not a command\n", name)
	usage(stderr)
	return exitUsage
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "usage: bot COMMAND [flags]")
	for _, c := range commandList() {
		fmt.Fprintf(w, "  %-8s %s\n", c.name, c.does)
	}
	fmt.Fprintln(w, "Settings come from the environment; 'bot config' lists them. 'bot COMMAND -h' lists a command's "+
		"flags.")
	fmt.Fprintln(w, "Decision support only: the diver who breathes the gas stays responsible for it, and the dive "+
		"leader decides.")
}

// parse reads a command's flags strictly. done means that the command is over
// with that exit code: help was asked for, or something is wrong, which is said
// in one line that names the flag, the value and what is accepted.
func parse(f *flag.FlagSet, args []string, operands int, stdout, stderr io.Writer) (code int, done bool) {
	f.SetOutput(io.Discard)
	err := f.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintf(stdout, "usage: bot %s\n", f.Name())
		f.SetOutput(stdout)
		f.PrintDefaults()
		return exitOK, true
	case err != nil:
		fmt.Fprintf(stderr, "bot %s: %v; accepted: %s\n", f.Name(), err, accepted(f))
		return exitUsage, true
	case f.NArg() > operands:
		fmt.Fprintf(stderr, "bot %s: %q is too much; accepted: %s\n", f.Name(), f.Arg(operands), accepted(f))
		return exitUsage, true
	}
	return exitOK, false
}

func accepted(f *flag.FlagSet) string {
	var names []string
	f.VisitAll(func(g *flag.Flag) {
		value, _ := flag.UnquoteUsage(g)
		names = append(names, strings.TrimSpace("--"+g.Name+" "+value))
	})
	if len(names) == 0 {
		return "no flags; settings come from the environment, see 'bot config'"
	}
	return strings.Join(names, ", ")
}
