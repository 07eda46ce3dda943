package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"time"

	"gasmuster/internal/app"
)

const shopUsage = "shop add NAME | shop list | shop rotate NAME | shop rename NAME NEW | shop remove NAME | shop " +
	"link NAME"

// shopWords is how many words a command has, itself counted.
var shopWords = map[string]int{"list": 1, "add": 2, "rotate": 2, "rename": 3, "remove": 2, "link": 2}

// runShop manages the shops of a deployment. A key is shown once: only its
// hash is stored.
func runShop(args []string, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet(shopUsage, flag.ContinueOnError)
	if code, done := parse(f, args, 3, stdout, stderr); done {
		return code
	}
	verb := f.Arg(0)
	if f.NArg() == 0 || f.NArg() != shopWords[verb] {
		fmt.Fprintf(stderr, "bot shop: %q is not understood; accepted: %s\n", f.Args(), shopUsage)
		return exitUsage
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	cfg, _ := app.FromEnvironment()
	shops, closeShops, err := app.OpenShops(ctx, cfg)
	if err == nil {
		defer closeShops()
		err = manage(ctx, shops, f.Args(), stdout)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot shop %s: %v\n", verb, err)
		return exitError
	}
	return exitOK
}

func manage(ctx context.Context, shops app.Shops, words []string, stdout io.Writer) error {
	switch words[0] {
	case "list":
		return listShops(ctx, shops, stdout)
	case "link":
		return linkShop(ctx, shops, words[1], stdout)
	case "rename":
		return shops.Rename(ctx, words[1], words[2])
	case "remove":
		return shops.Remove(ctx, words[1])
	}
	return keyOfShop(ctx, shops, words, stdout)
}

// keyOfShop adds a shop, or gives it another key, and shows that this once.
func keyOfShop(ctx context.Context, shops app.Shops, words []string, stdout io.Writer) error {
	set := shops.Add
	if words[0] == "rotate" {
		set = shops.Rotate
	}
	key, err := set(ctx, words[1])
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s\n", key)
	fmt.Fprintf(stdout, "This is the key of %q, shown this once. Send it as: Authorization: Bearer KEY\n", words[1])
	return nil
}

func linkShop(ctx context.Context, shops app.Shops, name string, stdout io.Writer) error {
	link, err := shops.Link(ctx, name)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s\n", link)
	fmt.Fprintf(stdout, "This link signs somebody in at the desk of %q once, within a day.\n", name)
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
