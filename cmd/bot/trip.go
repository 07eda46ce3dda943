package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/app"
)

const tripUsage = "trip import FILE|- [--shop NAME] [--again] [--dry-run] | trip list [--shop NAME] | trip show ID " +
	"[--json] | trip template [--units ft] [--xlsx] | trip cancel ID [--reason TEXT]"

type tripFlags struct {
	shop, units      string
	reason           string
	again, json, dry bool
	xlsx             bool
}

// runTrip takes trips in and shows them, with the reader and the checks of the
// shop's API, against the configured store.
func runTrip(args []string, stdout, stderr io.Writer) int {
	var g tripFlags
	f := flag.NewFlagSet(tripUsage, flag.ContinueOnError)
	f.StringVar(&g.shop, "shop", "", "`NAME` of the shop; may be left out when there is only one")
	f.BoolVar(&g.again, "again", false, "import even though the same trip is there")
	f.BoolVar(&g.json, "json", false, "show as the shop's API does")
	f.BoolVar(&g.dry, "dry-run", false, "check everything and store nothing")
	f.StringVar(&g.units, "units", "m", "of the template's example: `m` or ft")
	f.BoolVar(&g.xlsx, "xlsx", false, "the template as a workbook, to be sent to a file")
	f.StringVar(&g.reason, "reason", "called off by the shop", "`TEXT` that everybody on the trip is told")
	words, code, done := parseAround(f, args, stdout, stderr)
	if done {
		return code
	}
	want := map[string]int{"import": 2, "list": 1, "show": 2, "template": 1, "cancel": 2}
	if len(words) == 0 || len(words) != want[words[0]] {
		fmt.Fprintf(stderr, "bot trip: %q is not understood; accepted: %s\n", words, tripUsage)
		return exitUsage
	}
	if words[0] == "template" {
		return writeTemplate(g, stdout, stderr)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	return doTrip(ctx, g, words, stdout, stderr)
}

// writeTemplate writes a file to fill in to the terminal or wherever it is sent.
func writeTemplate(g tripFlags, stdout, stderr io.Writer) int {
	if g.units != "m" && g.units != "ft" {
		fmt.Fprintf(stderr, "bot trip template: --units %q; accepted: m, ft\n", g.units)
		return exitUsage
	}
	body, err := app.Template(g.units, g.xlsx)
	if err == nil {
		_, err = stdout.Write(body)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot trip template: %v\n", err)
		return exitError
	}
	return exitOK
}

// parseAround reads flags before, between and after the words.
func parseAround(f *flag.FlagSet, args []string, stdout, stderr io.Writer) (words []string, code int, done bool) {
	for {
		if code, done := parse(f, args, len(args), stdout, stderr); done {
			return nil, code, true
		}
		if f.NArg() == 0 {
			return words, exitOK, false
		}
		words, args = append(words, f.Arg(0)), f.Args()[1:]
	}
}

func doTrip(ctx context.Context, g tripFlags, words []string, stdout, stderr io.Writer) int {
	var body []byte
	var err error
	if words[0] == "import" {
		if body, err = readTripFile(words[1]); err != nil {
			fmt.Fprintf(stderr, "bot trip import: %v\n", err)
			return exitUsage
		}
	}
	cfg, _ := app.FromEnvironment()
	trips, closeTrips, err := app.OpenTrips(ctx, cfg)
	if err != nil {
		fmt.Fprintf(stderr, "bot trip %s: %v\n", words[0], err)
		return exitError
	}
	defer closeTrips()
	switch words[0] {
	case "import":
		err = importTrip(ctx, trips, g, words[1], body, stdout)
	case "list":
		err = listTrips(ctx, trips, g, stdout)
	case "cancel":
		err = cancelTrip(ctx, trips, g, words[1], stdout)
	default:
		err = showTrip(ctx, trips, g, words[1], stdout)
	}
	return tripFailure(words, err, stderr)
}

// tripFailure says what is wrong, a fault of the file on a line each.
func tripFailure(words []string, err error, stderr io.Writer) int {
	faults := app.Faults(err)
	switch {
	case err == nil:
		return exitOK
	case len(faults) == 0:
		fmt.Fprintf(stderr, "bot trip %s: %v\n", words[0], err)
		return exitError
	}
	for _, f := range faults {
		at := f.Pointer
		if f.Row > 0 {
			at = strings.TrimSpace(fmt.Sprintf("row %d %s", f.Row, f.Column))
		}
		fmt.Fprintf(stderr, "%s: %s\n", strings.TrimSuffix(words[1]+": "+at, ": "), f.Detail)
	}
	fmt.Fprintf(stderr, "bot trip %s: nothing was stored, %d to put right\n", words[0], len(faults))
	return exitUsage
}

func readTripFile(name string) ([]byte, error) {
	file := os.Stdin
	if name != "-" {
		opened, err := os.Open(name) // #nosec G304 G703 -- named on the command line by who runs it
		if err != nil {
			return nil, err
		}
		defer opened.Close()
		file = opened
	}
	body, err := io.ReadAll(io.LimitReader(file, app.MaxTripFile+1))
	if err == nil && len(body) > app.MaxTripFile {
		err = fmt.Errorf("%s is larger than 10 MB, which no trip is", name)
	}
	return body, err
}

func importTrip(ctx context.Context, trips app.Trips, g tripFlags, name string, body []byte, stdout io.Writer) error {
	kind := app.TypeOfTripFile(name, body)
	t, how, err := trips.Check(ctx, g.shop, body, kind)
	if err == nil && !g.dry {
		t, how, err = trips.Import(ctx, g.shop, body, kind, g.again)
	}
	if how != nil {
		for _, note := range how.Notes {
			fmt.Fprintf(stdout, "%s\n", note)
		}
		for _, guess := range how.Guesses {
			fmt.Fprintf(stdout, "%s\n", strings.TrimSpace(cellAt(guess.Row, guess.Column)+" "+guess.Detail))
		}
	}
	if err != nil {
		return err
	}
	if g.dry {
		fmt.Fprintln(stdout, "Nothing was stored: this is a dry run.")
	}
	return printTrip(t, g.json, stdout)
}

// cellAt is a cell as a spreadsheet names it.
func cellAt(row int, column string) string {
	if row == 0 {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("row %d %s", row, column)) + ":"
}

func listTrips(ctx context.Context, trips app.Trips, g tripFlags, stdout io.Writer) error {
	list, err := trips.List(ctx, g.shop)
	if err != nil {
		return err
	}
	if g.json {
		return json.NewEncoder(stdout).Encode(append([]app.Trip{}, list...))
	}
	for _, t := range list {
		fmt.Fprintf(stdout, "%s  %s  %2d divers  %s\n", t.ID, local(t.Departs, t.Zone), len(t.Divers), t.Name)
	}
	if len(list) == 0 {
		fmt.Fprintln(stdout, "no trips to come: bot trip import FILE")
	}
	return nil
}

func cancelTrip(ctx context.Context, trips app.Trips, g tripFlags, id string, stdout io.Writer) error {
	t, err := trips.Cancel(ctx, id, g.reason)
	if err != nil {
		return noTrip(id, err)
	}
	fmt.Fprintf(stdout, "%s  %s is called off (%s). Everybody on it is told; the record stays.\n", t.ID, t.Name,
		t.CalledOff.Reason)
	return nil
}

// noTrip says of a trip that is not there where to find those that are.
func noTrip(id string, err error) error {
	if errors.Is(err, app.ErrNoTrip) {
		return fmt.Errorf("there is no trip %q; bot trip list shows them", id)
	}
	return err
}

func showTrip(ctx context.Context, trips app.Trips, g tripFlags, id string, stdout io.Writer) error {
	t, err := trips.Show(ctx, id)
	if err != nil {
		return noTrip(id, err)
	}
	return printTrip(t, g.json, stdout)
}

// printTrip shows a trip with the invite of everybody and what their requests
// mean at the site.
func printTrip(t app.Trip, asJSON bool, w io.Writer) error {
	if asJSON {
		return json.NewEncoder(w).Encode(t)
	}
	fmt.Fprintf(w, "%s  %s\nDeparts %s (%s)\n", t.ID, t.Name, local(t.Departs, t.Zone), t.Zone)
	for i, d := range t.Dives {
		fmt.Fprintf(w, "Dive %d  %s, %v %s\n", i+1, d.Site, d.Depth, t.Units)
	}
	people := slices.Concat(t.Leaders, t.Divers)
	for i, p := range people {
		role := ""
		if i < len(t.Leaders) {
			role = " (leader)"
		}
		fmt.Fprintf(w, "\n%s  %s%s\n", p.ID, p.Name, role)
		if p.Invite != nil {
			fmt.Fprintf(w, "  invite  %s\n  in Telegram, to the bot: /start %s\n", p.Invite.Chat, p.Invite.Code)
		}
		for _, c := range p.Cylinders {
			fmt.Fprintf(w, "  %s  dive %d", strings.TrimSpace(string(c.ID)+" "+c.Label), c.Dive)
			if c.Asked > 0 {
				fmt.Fprintf(w, ", asked for %v %%", float64(c.Asked))
			}
			fmt.Fprintln(w)
			if c.Check != nil {
				for _, f := range c.Check.Findings {
					fmt.Fprintf(w, "      %s\n", strings.TrimSpace(f.Text+" "+f.Do))
				}
			}
		}
	}
	return nil
}

// local is a time as clocks on the trip show it.
func local(t time.Time, zone string) string {
	if loc, err := time.LoadLocation(zone); err == nil {
		t = t.In(loc)
	}
	return t.Format("2006-01-02 15:04 -0700")
}
