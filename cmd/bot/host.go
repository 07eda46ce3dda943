package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"time"

	"gasmuster/internal/app"
)

const hostUsage = "host add NAME [--shop NAME] | host list | host remove NAME"

// runHost manages who may start trips from their phone. A link can be shown again:
// it is made of the deployment's secret.
func runHost(args []string, stdout, stderr io.Writer) int {
	var shop string
	f := flag.NewFlagSet(hostUsage, flag.ContinueOnError)
	f.StringVar(&shop, "shop", "", "`NAME` of the shop; may be left out when there is only one, or none yet")
	words, code, done := parseAround(f, args, stdout, stderr)
	if done {
		return code
	}
	want := map[string]int{"add": 2, "list": 1, "remove": 2}
	if len(words) == 0 || len(words) != want[words[0]] {
		fmt.Fprintf(stderr, "bot host: %q is not understood; accepted: %s\n", words, hostUsage)
		return exitUsage
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	cfg, _ := app.FromEnvironment()
	hosts, closeHosts, err := app.OpenHosts(ctx, cfg)
	if err == nil {
		defer closeHosts()
		err = doHost(ctx, hosts, words, shop, stdout)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot host %s: %v\n", words[0], err)
		return exitError
	}
	return exitOK
}

func doHost(ctx context.Context, hosts app.Hosts, words []string, shop string, stdout io.Writer) error {
	switch words[0] {
	case "add":
		h, err := hosts.Add(ctx, words[1], shop)
		if err == nil {
			printHost(h, stdout)
			fmt.Fprintln(stdout, "Whoever has this link starts trips as this host. Send it to nobody else.")
		}
		return err
	case "remove":
		return hosts.Remove(ctx, words[1])
	}
	list, err := hosts.List(ctx)
	for _, h := range list {
		printHost(h, stdout)
	}
	if err == nil && len(list) == 0 {
		fmt.Fprintln(stdout, "no hosts yet: bot host add NAME")
	}
	return err
}

func printHost(h app.HostLink, w io.Writer) {
	fmt.Fprintf(w, "%s  (%s)\n  page         %s\n  in Telegram  to the bot: /start %s\n", h.Name, h.ShopName, h.Page,
		h.Code)
}
