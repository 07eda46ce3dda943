package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
)

// desk is a deployment with the given shops, as seen from the command line.
func desk(t *testing.T, shops ...string) []string {
	t.Helper()
	env := []string{"GASMUSTER_REDIS_URL=redis://" + miniredis.RunT(t).Addr(),
		"GASMUSTER_SECRET=a secret of twenty-four and more",
		"GASMUSTER_PUBLIC_URL=https://gas.example"}
	for _, name := range shops {
		if code, _, stderr := bot(t, env, "shop", "add", name); code != 0 {
			t.Fatalf("shop add: %s", stderr)
		}
	}
	return env
}

// tripFile is a file of a trip that departs tomorrow.
func tripFile(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	text = strings.ReplaceAll(text, "TOMORROW", time.Now().AddDate(0, 0, 1).UTC().Format("2006-01-02"))
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

const goodTrip = "trip;time_zone;departs_at;dive1_site;dive1_depth;dive1_minutes;diver;role;asked;units\n" +
	"Two-tank;Atlantic/Azores;TOMORROW 08:30;Anvil Ledge;33,5;18;Inês;leader;31;m\n;;;;;;Tomasz;;36\n"

func TestTripFromFileToInvite(t *testing.T) {
	env := desk(t, "Harbour desk")
	code, stdout, stderr := bot(t, env, "trip", "import", tripFile(t, "saturday.csv", goodTrip))
	if code != 0 {
		t.Fatalf("exit %d: %s", code, stderr)
	}
	for _, want := range []string{"Two-tank", "08:30", "Inês (leader)", "Tomasz", "https://gas.example/c/", "/start ",
		"36 %", "31 %"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("does not say %q:\n%s", want, stdout)
		}
	}
	id := stdout[:10]
	if code, list, _ := bot(t, env, "trip", "list"); code != 0 || !strings.Contains(list, id) ||
		!strings.Contains(list, " 1 divers") {
		t.Errorf("list: exit %d\n%s", code, list)
	}
	code, shown, _ := bot(t, env, "trip", "show", id)
	if code != 0 || shown != stdout {
		t.Errorf("show says something else than import did: exit %d\n%s", code, shown)
	}
	code, shown, _ = bot(t, env, "trip", "show", id, "--json")
	var trip struct {
		ID      string
		Divers  []struct{ Name string }
		Leaders []struct{ Invite struct{ Code string } }
	}
	if err := json.Unmarshal([]byte(shown), &trip); code != 0 || err != nil || trip.ID != id ||
		trip.Divers[0].Name != "Tomasz" || trip.Leaders[0].Invite.Code == "" {
		t.Errorf("show --json: exit %d, %v\n%s", code, err, shown)
	}
}

func TestTripDryRunStoresNothing(t *testing.T) {
	env := desk(t, "Harbour desk")
	code, stdout, stderr := bot(t, env, "trip", "import", "--dry-run", tripFile(t, "saturday.csv", goodTrip))
	if code != 0 || !strings.Contains(stdout, "Nothing was stored") || !strings.Contains(stdout, "Tomasz") ||
		strings.Contains(stdout, "/c/") {
		t.Errorf("exit %d, %q, %q", code, stdout, stderr)
	}
	if _, list, _ := bot(t, env, "trip", "list"); !strings.Contains(list, "no trips") {
		t.Errorf("something was stored: %s", list)
	}
}

func TestTripTemplateIsATrip(t *testing.T) {
	env := desk(t, "Harbour desk")
	for _, args := range [][]string{{}, {"--xlsx", "--units", "ft"}} {
		code, body, stderr := bot(t, env, append([]string{"trip", "template"}, args...)...)
		if code != 0 {
			t.Fatalf("exit %d: %s", code, stderr)
		}
		if code, _, stderr := bot(t, env, "trip", "import", "--dry-run", tripFile(t, "template", body)); code != 0 {
			t.Errorf("%v: exit %d: %s", args, code, stderr)
		}
	}
	if code, _, stderr := bot(t, env, "trip", "template", "--units", "yards"); code != 2 ||
		!strings.Contains(stderr, "m, ft") {
		t.Errorf("exit %d, %q", code, stderr)
	}
}

func TestShopLinkSignsIn(t *testing.T) {
	env := desk(t, "Harbour desk")
	if code, stdout, stderr := bot(t, env, "shop", "link", "Harbour desk"); code != 0 ||
		!strings.HasPrefix(stdout, "https://gas.example/desk/in/") {
		t.Errorf("exit %d, %q, %q", code, stdout, stderr)
	}
	if code, _, stderr := bot(t, env, "shop", "link", "Nowhere"); code != 1 || !strings.Contains(stderr, "Nowhere") {
		t.Errorf("exit %d, %q", code, stderr)
	}
}

func TestTripImportedTwiceIsRefused(t *testing.T) {
	env := desk(t, "Harbour desk")
	file := tripFile(t, "saturday.csv", goodTrip)
	bot(t, env, "trip", "import", file)
	code, stdout, stderr := bot(t, env, "trip", "import", file)
	if code != 1 || stdout != "" || !strings.Contains(stderr, "--again") {
		t.Errorf("exit %d, %q, %q; want 1 and how to do it all the same", code, stdout, stderr)
	}
	if code, _, stderr := bot(t, env, "trip", "import", "--again", file); code != 0 {
		t.Errorf("--again: exit %d: %s", code, stderr)
	}
}

func TestTripFileWithFaults(t *testing.T) {
	env := desk(t, "Harbour desk")
	bad := strings.Replace(goodTrip, "36", "fifty", 1) + ";;;;;;;;32\n"
	file := tripFile(t, "saturday.csv", bad)
	code, _, stderr := bot(t, env, "trip", "import", file)
	if code != 2 || !strings.Contains(stderr, file+": row 3 asked: ") || !strings.Contains(stderr, file+": row 4 dive: ") {
		t.Errorf("exit %d, %q; want 2, row 3 column asked and row 4 column dive", code, stderr)
	}
	if _, list, _ := bot(t, env, "trip", "list"); !strings.Contains(list, "no trips") {
		t.Errorf("something was stored: %s", list)
	}
	code, _, stderr = bot(t, env, "trip", "import", tripFile(t, "x.json", `{"name": "a", "captain": 1}`))
	if code != 2 || !strings.Contains(stderr, "/captain: ") || !strings.Contains(stderr, "/dives") {
		t.Errorf("JSON: exit %d, %q; want 2 and pointers", code, stderr)
	}
}

func TestTripNeedsItsShop(t *testing.T) {
	file := tripFile(t, "saturday.csv", goodTrip)
	for name, c := range map[string]struct {
		shops []string
		args  []string
		says  string
	}{
		"no shops":     {nil, nil, "bot shop add"},
		"two shops":    {[]string{"a", "b"}, nil, "--shop"},
		"unknown shop": {[]string{"a"}, []string{"--shop", "z"}, `"z"`},
	} {
		t.Run(name, func(t *testing.T) {
			code, _, stderr := bot(t, desk(t, c.shops...), append([]string{"trip", "import", file}, c.args...)...)
			if code != 1 || !strings.Contains(stderr, c.says) {
				t.Errorf("exit %d, %q; want 1 and %q", code, stderr, c.says)
			}
		})
	}
	env := desk(t, "a", "b")
	if code, _, stderr := bot(t, env, "trip", "import", file, "--shop", "b"); code != 0 {
		t.Errorf("exit %d: %s", code, stderr)
	}
	if _, list, _ := bot(t, env, "trip", "list", "--shop", "a"); !strings.Contains(list, "no trips") {
		t.Errorf("shop a lists %s", list)
	}
}

func TestWrongTripLines(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		code int
		says string
	}{
		"nothing":         {nil, 2, "trip import FILE"},
		"no file":         {[]string{"import"}, 2, "trip import FILE"},
		"no such file":    {[]string{"import", "/nowhere/x.csv"}, 2, "/nowhere/x.csv"},
		"unknown verb":    {[]string{"remove", "x"}, 2, "accepted"},
		"unknown flag":    {[]string{"list", "--all"}, 2, "-all"},
		"no secret":       {[]string{"list"}, 1, "GASMUSTER_SECRET"},
		"too many things": {[]string{"show", "a", "b"}, 2, "accepted"},
	} {
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := bot(t, nil, append([]string{"trip"}, c.args...)...)
			if code != c.code || stdout != "" || !strings.Contains(stderr, c.says) || strings.Count(stderr, "\n") != 1 {
				t.Errorf("exit %d, %q, %q; want %d and one line about %q", code, stdout, stderr, c.code, c.says)
			}
		})
	}
	code, _, stderr := bot(t, desk(t), "trip", "show", "abcdefghij")
	if code != 1 || !strings.Contains(stderr, `"abcdefghij"`) {
		t.Errorf("an unknown trip: exit %d, %q", code, stderr)
	}
}

func TestTripCancel(t *testing.T) {
	env := desk(t, "Harbour desk")
	_, stdout, _ := bot(t, env, "trip", "import", tripFile(t, "saturday.csv", goodTrip))
	id := stdout[:10]
	if code, stdout, stderr := bot(t, env, "trip", "cancel", id, "--reason", strings.Repeat("x", 201)); code != 2 ||
		stdout != "" || !strings.Contains(stderr, "200") {
		t.Errorf("a long reason: exit %d, %q, %q", code, stdout, stderr)
	}
	if code, stdout, stderr := bot(t, env, "trip", "cancel", id, "--reason", "Too much wind"); code != 0 ||
		!strings.Contains(stdout, "Too much wind") {
		t.Errorf("exit %d, %q, %q", code, stdout, stderr)
	}
	if _, shown, _ := bot(t, env, "trip", "show", "--json", id); !strings.Contains(shown, `"called_off":{`) {
		t.Errorf("it is not called off: %s", shown)
	}
	for _, again := range []string{id, "aaaaaaaaaa", "x"} {
		if code, _, stderr := bot(t, env, "trip", "cancel", again); code != 1 || stderr == "" {
			t.Errorf("%s: exit %d, %q", again, code, stderr)
		}
	}
}

func TestShopRenamedAndRemoved(t *testing.T) {
	env := desk(t, "Harbour desk", "Pier desk")
	if code, _, stderr := bot(t, env, "shop", "rename", "Harbour desk", "Pier desk"); code != 1 ||
		!strings.Contains(stderr, "already") {
		t.Errorf("the name of another shop: exit %d, %q", code, stderr)
	}
	if code, _, stderr := bot(t, env, "shop", "rename", "Harbour desk", "Quay desk"); code != 0 {
		t.Errorf("exit %d, %q", code, stderr)
	}
	_, stdout, _ := bot(t, env, "trip", "import", "--shop", "Quay desk", tripFile(t, "saturday.csv", goodTrip))
	id := stdout[:10]
	bot(t, env, "host", "add", "Joana", "--shop", "Quay desk")
	bot(t, env, "host", "add", "Rui", "--shop", "Pier desk")
	if code, _, stderr := bot(t, env, "shop", "remove", "Quay desk"); code != 1 ||
		!strings.Contains(stderr, "bot trip cancel "+id) {
		t.Errorf("with a trip to come: exit %d, %q", code, stderr)
	}
	bot(t, env, "trip", "cancel", id)
	if code, _, stderr := bot(t, env, "shop", "remove", "Quay desk"); code != 0 {
		t.Errorf("exit %d, %q", code, stderr)
	}
	if _, list, _ := bot(t, env, "shop", "list"); strings.Contains(list, "Quay") || strings.Contains(list, "Harbour") ||
		!strings.Contains(list, "Pier desk") {
		t.Errorf("shops: %s", list)
	}
	if _, list, _ := bot(t, env, "host", "list"); strings.Contains(list, "Joana") || !strings.Contains(list, "Rui") {
		t.Errorf("hosts: %s", list)
	}
	if code, _, stderr := bot(t, env, "shop", "remove", "Quay desk"); code != 1 || !strings.Contains(stderr, "no shop") {
		t.Errorf("twice: exit %d, %q", code, stderr)
	}
	if code, _, _ := bot(t, env, "shop", "rename", "Pier desk"); code != 2 {
		t.Errorf("without a new name: exit %d", code)
	}
}
