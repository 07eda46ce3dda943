package e2e

import (
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"gasmuster/internal/telegram/standin"
)

// look opens a page and returns its status.
func look(t *testing.T, page string) int {
	t.Helper()
	resp, err := http.Get(page)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if _, err := io.Copy(io.Discard, resp.Body); err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode
}

// A diver's phone is lost: the leader asks for a new link in the chat, the old
// phone and the old page are out at once, the new link lets the diver in from
// another phone, and their reading is still there. The chart of the board
// arrives as a photo. No link is in the store or in the log.
func TestANewLinkForALostPhone(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	b := startBot(t, r, api, webhook()...)
	tr := b.create(charter())
	c := b.joinAll(api, tr)
	c.marit.Send("30.8")
	answered(c.marit, "30.8")

	c.ines.Send("/board")
	c.ines.Await("ANALYSE FIRST · Tomasz")
	if photo := c.ines.Await("Dive 1, Anvil Ledge: each diver's max"); photo.Photo == nil {
		t.Errorf("the chart came without its photo: %q", photo.Text)
	}

	c.ines.Send("/revoke Marit")
	c.ines.Await("Replace Marit's link?").Press("Yes, give Marit a new link")
	answer := c.ines.Await("old link opens nothing any more", "Send it to Marit and to nobody else")
	code := regexp.MustCompile(`https://t\.me/` + api.Name() + `\?start=(\S+)`).FindStringSubmatch(answer.Text)
	if code == nil || code[1] == tr.codes["Marit"] || !strings.Contains(answer.Text, b.url+"/c/"+code[1]) {
		t.Fatalf("no new links in %q", answer.Text)
	}
	issued.add(code[1])
	if got := look(t, tr.pages["Marit"]); got != http.StatusGone {
		t.Errorf("the old page: %d, want gone", got)
	}
	c.marit.Send("31.5")
	c.marit.Await("I don't know you")
	c.marit.Start(tr.codes["Marit"])
	c.marit.Await("replaced by a newer one")

	found := api.User(1009, "Marit", "en")
	found.Start(code[1])
	found.Await("Hello Marit")
	found.Send("/gas")
	found.Await("30.8 %")
	if got := look(t, b.url+"/c/"+code[1]); got != http.StatusOK {
		t.Errorf("the new page: %d, want it open", got)
	}
	if got := reading(t, b.board(tr), "Marit"); got != 30.8 {
		t.Errorf("Marit's reading is %v, want 30.8 from before", got)
	}
	if keys := r.holds(code[1]); keys != nil {
		t.Errorf("the new link is stored in %v", keys)
	}
}
