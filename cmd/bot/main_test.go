package main

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
)

// bot runs a command with an environment of nothing but the given settings.
func bot(t *testing.T, env []string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	for _, e := range os.Environ() {
		if name, _, _ := strings.Cut(e, "="); strings.HasPrefix(name, "GASMUSTER_") {
			t.Setenv(name, "")
			os.Unsetenv(name)
		}
	}
	for _, e := range env {
		name, value, _ := strings.Cut(e, "=")
		t.Setenv(name, value)
	}
	var out, err bytes.Buffer
	code = run(args, &out, &err)
	return code, out.String(), err.String()
}

func TestWrongCommandLines(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		says []string // each in what stands on stderr
		one  bool     // in a single line
	}{
		"no command":           {nil, []string{"usage: bot", "serve", "demo", "check"}, false},
		"unknown command":      {[]string{"srve"}, []string{`"srve" is not a command`, "serve", "version"}, false},
		"serve: unknown flag":  {[]string{"serve", "--port=1"}, []string{"-port", "accepted"}, true},
		"serve: an operand":    {[]string{"serve", "now"}, []string{`"now"`, "accepted"}, true},
		"health: unknown flag": {[]string{"health", "--x"}, []string{"-x", "--url"}, true},
		"shop: nothing":        {[]string{"shop"}, []string{"shop add NAME", "shop rotate NAME"}, true},
		"shop: no name":        {[]string{"shop", "add"}, []string{"add", "shop add NAME"}, true},
		"shop: unknown verb":   {[]string{"shop", "sell", "x"}, []string{"sell", "accepted"}, true},
		"host: nothing":        {[]string{"host"}, []string{"host add NAME", "host remove NAME"}, true},
		"host: no name":        {[]string{"host", "add"}, []string{"add", "host add NAME"}, true},
		"host: unknown flag":   {[]string{"host", "add", "x", "--key=1"}, []string{"-key", "--shop"}, true},
		"version: an operand":  {[]string{"version", "x"}, []string{`"x"`}, true},
		"config: a flag":       {[]string{"config", "--all"}, []string{"-all"}, true},
	} {
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := bot(t, nil, c.args...)
			if code != 2 || stdout != "" {
				t.Errorf("exit %d, stdout %q; want 2 and nothing", code, stdout)
			}
			for _, want := range c.says {
				if !strings.Contains(stderr, want) {
					t.Errorf("stderr %q does not name %q", stderr, want)
				}
			}
			if lines := strings.Count(stderr, "\n"); c.one && lines != 1 {
				t.Errorf("%d lines, want one: %q", lines, stderr)
			}
		})
	}
}

func TestServeRefusesWithoutARedis(t *testing.T) {
	code, _, stderr := bot(t, nil, "serve")
	if code == 0 || !strings.Contains(stderr, "GASMUSTER_REDIS_URL") ||
		!strings.Contains(stderr, "redis://127.0.0.1:6379") {
		t.Errorf("exit %d, %q; want it to say how to give one", code, stderr)
	}
	code, _, stderr = bot(t, []string{"GASMUSTER_REDIS_URL=redis://:hunter22@127.0.0.1:1/0",
		"GASMUSTER_SECRET=a secret of twenty-four and more",
		"GASMUSTER_LISTEN=127.0.0.1:0"}, "serve")
	if code != 1 || !strings.Contains(stderr, "127.0.0.1:1") || strings.Contains(stderr, "hunter22") {
		t.Errorf("exit %d, %q; want it to say where no Redis answers, without the password", code, stderr)
	}
}

func TestServeReportsEverySetting(t *testing.T) {
	code, _, stderr := bot(t, []string{"GASMUSTER_REDIS_URL=redis://127.0.0.1:1/0", "GASMUSTER_KEEP_DAYS=x",
		"GASMUSTER_QUITE=1"}, "serve")
	if code != 2 {
		t.Errorf("exit %d, want 2", code)
	}
	for _, want := range []string{"GASMUSTER_KEEP_DAYS", "GASMUSTER_QUITE", "GASMUSTER_QUIET", "GASMUSTER_SECRET"} {
		if !strings.Contains(stderr, want) {
			t.Errorf("%q does not name %s", stderr, want)
		}
	}
}

func TestConfigHidesSecretsAndExitsByProblems(t *testing.T) {
	good := []string{"GASMUSTER_REDIS_URL=redis://:hunter22@127.0.0.1:6379/0",
		"GASMUSTER_SECRET=hunter22 hunter22 hunter22",
		"GASMUSTER_PUBLIC_URL=https://gas.example"}
	code, stdout, _ := bot(t, good, "config")
	if code != 0 || strings.Contains(stdout, "hunter22") || !strings.Contains(stdout, "GASMUSTER_KEEP_DAYS") {
		t.Errorf("exit %d\n%s", code, stdout)
	}
	code, stdout, _ = bot(t, append(good, "GASMUSTER_PUBLIC_URL=http://127.0.0.1:8080"), "config")
	if code != 1 || !strings.Contains(stdout, "GASMUSTER_PUBLIC_URL") {
		t.Errorf("a loopback address: exit %d\n%s", code, stdout)
	}
}

func TestHealth(t *testing.T) {
	status := http.StatusOK
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/readyz" {
			t.Errorf("asked %s", r.URL.Path)
		}
		w.WriteHeader(status)
	}))
	defer s.Close()
	listen := []string{"GASMUSTER_LISTEN=" + strings.TrimPrefix(s.URL, "http://")}
	if code, _, stderr := bot(t, listen, "health"); code != 0 {
		t.Errorf("ready: exit %d %q", code, stderr)
	}
	status = http.StatusServiceUnavailable
	if code, _, _ := bot(t, listen, "health"); code != 1 {
		t.Errorf("not ready: exit %d, want 1", code)
	}
	if code, _, stderr := bot(t, nil, "health", "--url", "http://127.0.0.1:1"); code != 1 || stderr == "" {
		t.Errorf("nobody there: exit %d %q", code, stderr)
	}
}

func TestVersionAndHelp(t *testing.T) {
	if code, stdout, _ := bot(t, nil, "version"); code != 0 || !strings.Contains(stdout, "go1.") {
		t.Errorf("exit %d %q", code, stdout)
	}
	for _, args := range [][]string{{"help"}, {"--help"}, {"serve", "-h"}, {"health", "--help"}} {
		if code, stdout, _ := bot(t, nil, args...); code != 0 || !strings.Contains(stdout, "usage") {
			t.Errorf("%v: exit %d %q", args, code, stdout)
		}
	}
}

func TestHere(t *testing.T) {
	for listen, want := range map[string]string{":8080": "127.0.0.1:8080", "0.0.0.0:80": "127.0.0.1:80",
		"[::]:80": "127.0.0.1:80", "10.0.0.1:80": "10.0.0.1:80"} {
		if got := here(listen); got != want {
			t.Errorf("%s: got %s, want %s", listen, got, want)
		}
	}
}
