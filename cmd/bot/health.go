package main

import (
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"time"

	"gasmuster/internal/app"
)

// runHealth asks the service on this machine whether it is ready.
func runHealth(args []string, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet("health", flag.ContinueOnError)
	url := f.String("url", "", "`address` of the service, such as http://127.0.0.1:8080; default from GASMUSTER_LISTEN")
	if code, done := parse(f, args, 0, stdout, stderr); done {
		return code
	}
	if *url == "" {
		cfg, _ := app.FromEnvironment()
		*url = "http://" + here(cfg.Listen)
	}
	client := http.Client{Timeout: 5 * time.Second}
	resp, err := client.Get(*url + "/readyz")
	if err != nil {
		fmt.Fprintf(stderr, "bot health: nothing answers at %s: %v\n", *url, err)
		return exitError
	}
	defer resp.Body.Close()
	body, _ := io.ReadAll(io.LimitReader(resp.Body, 1<<10))
	fmt.Fprintf(stdout, "%s: %s", resp.Status, body)
	if resp.StatusCode != http.StatusOK {
		return exitError
	}
	return exitOK
}

// here is a listening address as one can call it from the same machine.
func here(listen string) string {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return listen
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, port)
}
