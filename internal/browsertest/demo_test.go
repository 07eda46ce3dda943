package browsertest

import (
	"io"
	"os"
	"strings"
	"syscall"
	"testing"

	"github.com/chromedp/chromedp"

	"gasmuster/internal/demo"
)

// demoAddress runs the demo as the command does, until the test ends.
func demoAddress(t *testing.T) string {
	t.Helper()
	out, in := io.Pipe()
	done := make(chan int, 1)
	go func() { done <- demo.Run([]string{"--listen", "127.0.0.1:0"}, in, io.Discard) }()
	said := make([]byte, 4096)
	n, err := out.Read(said)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		// The command ends at a signal, which it waits for until then.
		_ = syscall.Kill(os.Getpid(), syscall.SIGTERM)
		if code := <-done; code != 0 {
			t.Errorf("the demo ended with %d", code)
		}
	})
	_, rest, _ := strings.Cut(string(said[:n]), "http://")
	address, _, _ := strings.Cut(rest, "\n")
	return "http://" + address
}

// The demo's page has every phone on it, live: what one says, the leader's
// board beside it shows, and moving the clock loads no phone again.
func TestDemoPageIsLive(t *testing.T) {
	checker := axe(t)
	p := &phone{t: t, ctx: browser(t)}
	p.do(chromedp.EmulateViewport(1400, 1000))
	p.do(chromedp.Navigate(demoAddress(t)))
	p.sees("Nothing is kept")
	p.accessible("demo", checker)
	inFrame := func(title, text string) string {
		return `(document.querySelector('iframe[title="` + title + `"]').contentDocument.body?.innerText ?? "").includes("` +
			text + `")`
	}
	p.shot("demo-top")
	value[bool](p, `(document.querySelector('iframe[title="Tomasz"]').scrollIntoView(), true)`)
	p.waits(inFrame("Tomasz", "Connected"))
	value[bool](p, `document.querySelector('iframe[title="Tomasz"]').contentWindow.stays = true`)
	p.do(chromedp.Click(chromedp.CSS(`button[value="dock"]`)))
	p.waits(inFrame("Tomasz", "ANALYSE FIRST"))
	value[bool](p,
		`(d => { d.getElementById("text").value = "T1 27.8"; d.querySelector("form.write .send").click(); return true })(document.querySelector('iframe[title="Tomasz"]').contentDocument)`)
	p.waits(inFrame("Tomasz", "Label: 27.8"))
	p.shot("demo-phones")
	value[bool](p, `(document.querySelector('iframe[title="Board"]').scrollIntoView(), true)`)
	p.waits(inFrame("Board", "T1"))
	p.shot("demo-board")
	if !value[bool](p, `document.querySelector('iframe[title="Tomasz"]').contentWindow.stays === true`) {
		t.Error("moving the clock loaded a phone again")
	}
}
