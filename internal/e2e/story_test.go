package e2e

import (
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/telegram/standin"
)

// crew are the accounts of a charter's people.
type crew struct{ ines, tomasz, marit *standin.User }

func (b *bot) joinAll(api *standin.Server, tr trip) crew {
	b.t.Helper()
	c := crew{api.User(1001, "Inês", "en"), api.User(1002, "Tomasz", "en"), api.User(1003, "Marit", "en")}
	c.ines.Start(tr.codes["Inês"])
	c.ines.Await("Hello Inês")
	c.tomasz.Start(tr.codes["Tomasz"])
	c.tomasz.Await("Hello Tomasz")
	c.marit.Start(tr.codes["Marit"])
	c.marit.Await("Hello Marit")
	return c
}

// person is somebody's line on the board of the shop's API.
func person(t *testing.T, board map[string]any, name string) map[string]any {
	t.Helper()
	for _, d := range board["divers"].([]any) {
		if p := d.(map[string]any); p["name"] == name {
			return p
		}
	}
	t.Fatalf("%s is not on the board: %v", name, board)
	return nil
}

func reading(t *testing.T, board map[string]any, name string) float64 {
	t.Helper()
	cylinder := person(t, board, name)["cylinders"].([]any)[0].(map[string]any)
	r, _ := cylinder["reading"].(map[string]any)
	percent, _ := r["percent"].(float64)
	return percent
}

// The story of 36 % asked for 33.5 m (110 ft), where the richest that fits is
// 32 % (1.4 / 4.35 = 32.18 %, NOAA best mix): caught before the fill, filled
// with 31 %, analysed, kept in sight, signed off.
func TestTooRichForTheSiteByWebhook(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	b := startBot(t, r, api, webhook()...)
	tr := b.create(charter())
	if want := "https://t.me/" + api.Name() + "?start=" + tr.codes["Tomasz"]; tr.links["Tomasz"] != want {
		t.Errorf("invite %q, want %q", tr.links["Tomasz"], want)
	}
	c := b.joinAll(api, tr)

	c.tomasz.Await("36 % is too rich", "33.5 m", "ask for 31 %", "32 % is the richest").Press("Change to 31 % (recommended)")
	c.tomasz.Await("Changed", "31 %")
	c.ines.Send("/signoff")
	c.ines.Await("Not signed off", "Tomasz", "Marit")

	c.tomasz.Send("31.2")
	c.tomasz.Await("GO", "Recorded: 31.2 %", "MOD 34 m")
	c.marit.Send("30.9")
	c.marit.Await("GO", "Recorded: 30.9 %", "MOD 35 m")
	until(t, "both are a go", func() bool { return b.board(tr)["status"] == "go" })

	c.ines.Send("/boat")
	c.tomasz.Await("Boat check").Press("No, it stayed with me")
	c.marit.Await("Boat check").Press("No, it stayed with me")
	until(t, "both are a go at the boat", func() bool { return b.board(tr)["status"] == "go" })
	c.ines.Send("/board")
	c.ines.Await("GO", "Anvil Ledge")
	c.ines.Send("/signoff")
	c.ines.Await("Sign off dive 1 at Anvil Ledge?", "2 go").Press("Sign off dive 1")
	until(t, "the dive is signed off", func() bool { return b.board(tr)["dive"] == 0.0 })
	if left := api.Unanswered(); len(left) > 0 {
		t.Errorf("button presses never answered: %v", left)
	}
	allDelivered(t, api)
}

// allDelivered wants every update acknowledged in the end, and none of the
// bot's messages refused.
func allDelivered(t *testing.T, api *standin.Server) {
	t.Helper()
	for _, e := range api.Transcript() {
		if e.Method == "sendMessage" && e.Status >= 400 && e.Status != 429 {
			t.Errorf("a message was refused: %d %s\n%s", e.Status, e.Answer, e.Params["text"])
		}
	}
}

func TestByPolling(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	b := startBot(t, r, api)
	tr := b.create(charter())
	c := b.joinAll(api, tr)
	c.marit.Send("30.9")
	c.marit.Await("Recorded: 30.9 %").Press("Undo")
	until(t, "the reading is taken back", func() bool { return reading(t, b.board(tr), "Marit") == 0 })

	b.stop() // orderly: what was handled is confirmed
	c.marit.Send("30.8")
	b = startBot(t, r, api)
	c.marit.Await("Recorded: 30.8 %")
	if got := reading(t, b.board(tr), "Marit"); got != 30.8 {
		t.Errorf("the board has %v, want 30.8", got)
	}
	saidOnce(t, api, c)
}

// saidOnce wants no message twice: a restart or a second process repeats nothing.
func saidOnce(t *testing.T, api *standin.Server, c crew, more ...*standin.User) {
	t.Helper()
	for _, u := range append([]*standin.User{c.ines, c.tomasz, c.marit}, more...) {
		var texts []string
		for _, m := range u.Messages() {
			if strings.HasPrefix(m.Text, "Hello") || strings.Contains(m.Text, "Recorded:") {
				texts = append(texts, m.Text)
			}
		}
		slices.Sort(texts)
		if once := slices.Compact(slices.Clone(texts)); len(once) != len(texts) {
			t.Errorf("%s was told something twice: %q", u.Name, texts)
		}
	}
}
