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
	tomasz.sees("Write on the cylinder: 31.8 %")
	tomasz.sees("recorded")
	tomasz.shot("chat-go")
	leader.sees("T1 reads 31.8 %")
	marit.types("36.4")
	marit.sees("STOP, NO-GO")
	marit.shot("chat-no-go")
	leader.sees("STOP, NO-GO: Marit")
	leader.shot("board-no-go")

	leader.sitsOut("Marit", "no gas that fits")
	leader.sees("no gas that fits")
	leader.shot("board-answer")
	marit.sees("no gas that fits")
	leader.gone("STOP, NO-GO: Marit")
	leader.do(chromedp.Click(chromedp.CSS(`form.choices button[value="lsign"]`)))
	leader.waits(`document.querySelector("#answer button") !== null`)
	leader.do(chromedp.Click(chromedp.CSS(`#answer button[value^="lsigned"]`)))
	leader.sees("Every dive is signed off")
	leader.shot("board-signed")
	tomasz.sees("signed off")
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

// sitsOut fills in the form behind a diver's fold.
func (p *phone) sitsOut(name, why string) {
	p.t.Helper()
	value[bool](p, `[...document.querySelectorAll("li.person summary")].find(s => s.textContent.includes("`+name+`")).click() ?? true`)
	p.do(chromedp.SendKeys(chromedp.CSS(`li.person details[open] form:has([value="out"]) input[name="reason"]`), why))
	p.shot("board-forms")
	p.do(chromedp.Click(chromedp.CSS(`li.person details[open] form:has([value="out"]) button`)))
}
