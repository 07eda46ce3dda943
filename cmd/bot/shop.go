package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"time"

	"gasmuster/internal/app"
)

const shopUsage = "shop add NAME | shop list | shop rotate NAME"

// runShop manages the shops of a deployment. A key is shown once: only its
// hash is stored.
func runShop(args []string, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet(shopUsage, flag.ContinueOnError)
	if code, done := parse(f, args, 2, stdout, stderr); done {
		return code
	}
	verb, name := f.Arg(0), f.Arg(1)
	switch {
	case verb == "list" && f.NArg() == 1, (verb == "add" || verb == "rotate") && f.NArg() == 2:
	default:
		fmt.Fprintf(stderr, "bot shop: %q is not understood; accepted: %s\n", f.Args(), shopUsage)
		return exitUsage
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	cfg, _ := app.FromEnvironment()
	shops, closeShops, err := app.OpenShops(ctx, cfg)
	if err == nil {
		defer closeShops()
		err = manage(ctx, shops, verb, name, stdout)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot shop %s: %v\n", verb, err)
		return exitError
	}
	return exitOK
}

func manage(ctx context.Context, shops app.Shops, verb, name string, stdout io.Writer) error {
	if verb == "list" {
		return listShops(ctx, shops, stdout)
	}
	set := shops.Add
	if verb == "rotate" {
		set = shops.Rotate
	}
	key, err := set(ctx, name)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s\n", key)
	fmt.Fprintf(stdout, "This is the key of %q, shown this once. Send it as: Authorization: Bearer KEY\n", name)
	return nil
}

func listShops(ctx context.Context, shops app.Shops, stdout io.Writer) error {
	list, err := shops.List(ctx)
	for _, s := range list {
		fmt.Fprintf(stdout, "%-12s %s  %s\n", s.ID, s.Created.UTC().Format(time.RFC3339), s.Name)
	}
	if err == nil && len(list) == 0 {
		fmt.Fprintln(stdout, "no shops yet: bot shop add NAME")
	}
	return err
}
