package e2e

import (
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/telegram/standin"
)

// mostMessages is what people may have to send from nothing to a signed dive.
const mostMessages = 25

// addHost runs "bot host add" on an empty store and returns the host's code.
func addHost(t *testing.T, r *redis, settings ...string) string {
	t.Helper()
	cmd := exec.Command(program(t, settings), "host", "add", "Inês")
	cmd.Env = append([]string{"GASMUSTER_SECRET=" + inviteSecret, "GASMUSTER_REDIS_URL=" + r.url()}, settings...)
	out, err := cmd.CombinedOutput()
	code := regexp.MustCompile(`host-\S+`).FindString(string(out))
	if err != nil || code == "" {
		t.Fatalf("host add: %v\n%s", err, out)
	}
	return code
}

// evening is a departure more than three hours from now, in UTC, as a leader types it.
func evening() string { return time.Now().UTC().Add(200 * time.Minute).Format("2006-01-02 15:04") }

// phones are accounts whose talk is written down as it goes.
type phones struct {
	t    *testing.T
	out  strings.Builder
	read map[*standin.User]int
	sent int
}

func (p *phones) says(u *standin.User, text string, until ...string) *standin.Received {
	p.t.Helper()
	p.sent++
	fmt.Fprintf(&p.out, "%s: %s\n", u.Name, text)
	if strings.HasPrefix(text, "/start ") {
		u.Start(strings.TrimPrefix(text, "/start "))
	} else {
		u.Send(text)
	}
	return p.hears(u, until...)
}

func (p *phones) presses(m *standin.Received, u *standin.User, label string, until ...string) *standin.Received {
	p.t.Helper()
	p.sent++
	fmt.Fprintf(&p.out, "%s presses [%s]\n", u.Name, label)
	m.Press(label)
	return p.hears(u, until...)
}

// hears waits for an answer and writes down all that has come to somebody until it.
func (p *phones) hears(u *standin.User, until ...string) *standin.Received {
	p.t.Helper()
	m := u.Await(until...)
	for _, one := range u.Messages()[p.read[u]:] {
		p.read[u]++
		fmt.Fprintf(&p.out, "  -> %s\n", u.Name)
		for _, line := range strings.Split(one.Text, "\n") {
			fmt.Fprintf(&p.out, "     %s\n", strings.TrimRight(line, " "))
		}
		for _, row := range one.Buttons {
			for _, b := range row {
				fmt.Fprintf(&p.out, "     [%s]\n", standin.Plain(b.Label))
			}
		}
		if one.ID == m.ID {
			break
		}
	}
	return m
}

// From an empty Redis and one "bot host add" to a signed dive, by a leader and three
// divers with phones.
func TestFromAPhone(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	code := addHost(t, r)
	startBot(t, r, api, webhook()...)
	p := &phones{t: t, read: map[*standin.User]int{}}
	ines := api.User(1001, "Inês", "en")
	divers := []*standin.User{api.User(1002, "Tomasz", "en"), api.User(1003, "Marit", "en"), api.User(1004, "Aoife", "en")}

	p.says(ines, "/start "+code, "You can start trips here")
	p.says(ines, "/newtrip "+evening()+" Anvil Ledge 33 m bottom 34 m 15 min", "Which time zone")
	m := p.says(ines, "UTC", "New trip")
	invite := p.presses(m, ines, "Start", "The open invite")
	open := regexp.MustCompile(`start=(open-[\w-]+)`).FindStringSubmatch(invite.Text)
	if open == nil {
		t.Fatalf("no link in %q", invite.Text)
	}
	for _, u := range divers {
		m := p.says(u, "/start "+open[1], "What is your name?")
		m = p.presses(m, u, u.Name, "Enriched-air card")
		m = p.presses(m, u, "Card, to 40 m", "what do you breathe?")
		p.presses(m, u, standin.Plain(m.Buttons[0][0].Label), "you wait for")
	}
	m = p.hears(ines, "Aoife wants to come along")
	p.presses(m, ines, "Let in all 3, cards seen", "On the trip now")
	nextSecond(t) // a message carries whole seconds, and is to come after they were let in
	for i, u := range divers {
		p.says(u, fmt.Sprintf("%d 31.%d", 51+i, i+1), "Label: 31.")
	}
	p.says(ines, "/boat", "Boat check of dive 1")
	m = p.says(ines, "/signoff", "Sign dive 1")
	p.presses(m, ines, standin.Plain(m.Buttons[0][0].Label), "Signed: dive 1")
	if p.sent >= mostMessages {
		t.Errorf("%d messages, want fewer than %d", p.sent, mostMessages)
	}
	written(t, "in-the-chat.txt", fmt.Sprintf("# %d messages from an empty store to a signed dive.\n%s", p.sent,
		p.out.String()))
}

func nextSecond(t *testing.T) {
	t.Helper()
	now := time.Now().Unix()
	until(t, "the second is over", func() bool { return time.Now().Unix() > now })
}

var (
	links  = regexp.MustCompile(`https?://\S+|(?:host|open)-[a-z2-7]{10}-[\w-]{22}`)
	clocks = regexp.MustCompile(`\b\d{1,2}:\d{2}\b`)
	dates  = regexp.MustCompile(
		`\b(?:(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) )?\d{1,2} (?:January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b(?: \d{4})?|\b\d{4}-\d\d-\d\d\b`)
)

// written holds a conversation against the one that is kept, with links and times
// blotted out. GASMUSTER_UPDATE=1 writes it anew.
func written(t *testing.T, name, got string) {
	t.Helper()
	got = dates.ReplaceAllString(clocks.ReplaceAllString(links.ReplaceAllString(got, "LINK"), "TIME"), "DATE")
	path := "../../testdata/transcripts/phone/" + name
	if os.Getenv("GASMUSTER_UPDATE") == "1" {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("the story went differently (-written +played); if that is right, run again with GASMUSTER_UPDATE=1:\n%s", d)
	}
}
