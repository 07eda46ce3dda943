package browsertest

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// The main story: two divers report from their phones, the leader looks on,
// settles what stands in the way and signs off, and no phone loads its page again.
func TestTwoPhonesAndALeader(t *testing.T) {
	s := newService(t)
	tomasz, marit := s.phone("Tomasz", 390, 800), s.phone("Marit", 390, 800)
	leader := s.phone("Inês", 1100, 900)

	tomasz.opens(tomasz.page)
	tomasz.sees("Anvil Ledge")
	tomasz.sees("Connected")
	tomasz.shot("chat-first")
	leader.opens(leader.page + "/board")
	leader.sees("ANALYSE FIRST")
	leader.sees("Connected")
	leader.shot("board-first")
	marit.opens(marit.page)

	value[bool](tomasz, `window.stays = true`)
	tomasz.types("31.8")
	tomasz.sees("Label: 31.8 %")
	tomasz.sees("recorded")
	tomasz.shot("chat-go")
	leader.presses(`a[href*="show=all"]`)
	leader.sees("T1 · 31.8 %")
	marit.types("36.4")
	marit.sees("STOP, NO-GO")
	marit.shot("chat-no-go")
	leader.sees("STOP, NO-GO")
	leader.shot("board-no-go")

	leader.sitsOut("Marit", "no gas that fits")
	leader.sees("no gas that fits")
	leader.shot("board-answer")
	marit.sees("Inês has you sit out")
	if value[bool](marit, holds("no gas that fits")) {
		t.Error("the leader's own words are shown to the diver")
	}
	leader.gone("STOP, NO-GO")
	leader.presses(`form.acts button[value^="lboat"]`)
	leader.sees("Boat check of dive 1 open")
	leader.presses(`form.acts button[value^="lsign"]`)
	leader.presses(`#answer button[value^="lsigned"]`)
	leader.sees("Signed: dive 1 at Anvil Ledge")
	leader.shot("board-signed")
	tomasz.sees("Inês signed dive 1")
	if !value[bool](tomasz, `window.stays === true`) {
		t.Error("the diver's page was loaded again")
	}
	for _, p := range []*phone{tomasz, marit, leader} {
		p.clean()
		if token := p.page[len(p.page)-22:]; strings.Contains(s.log.String(), token) {
			t.Error("a token is in the log")
		}
	}
}

// sitsOut goes to a diver's page behind the board and from there to its form.
func (p *phone) sitsOut(name, why string) {
	p.t.Helper()
	p.about(name)
	p.shot("board-person")
	p.do(chromedp.Click(chromedp.CSS(`main a[href*="/out"]`)))
	p.do(chromedp.SendKeys(chromedp.CSS(`form.one input[name="reason"]`), why))
	p.shot("board-form")
	p.do(chromedp.Click(chromedp.CSS(`form.one .send`)))
}

// about opens the page behind somebody's row.
func (p *phone) about(name string) {
	p.t.Helper()
	row := `[...document.querySelectorAll("li.person a.to")].find(a => a.textContent.includes("` + name + `"))`
	p.waits(row + ` !== undefined`)
	value[bool](p, row+`.click() ?? true`)
	p.waits(`document.querySelector("main h2")?.textContent === "` + name + `"`)
}
