package browsertest

import (
	"strings"
	"testing"
)

// The leader gives a diver a new link from the board: the page with the old one
// says so at once and takes nothing more, the new one opens with all that was said.
func TestANewLinkFromTheBoard(t *testing.T) {
	s := newService(t)
	marit, leader := s.phone("Marit", 390, 800), s.phone("Inês", 390, 800)
	marit.opens(marit.page)
	marit.sees("Connected")
	marit.types("31.6")
	marit.sees("Label: 31.6 %")
	leader.opens(leader.page + "/board")
	leader.presses(`a[href*="show=all"]`)
	leader.sees("M1 · 31.6 %")
	leader.about("Marit")
	leader.presses(`form:has([value="revoke"]) button`)
	leader.sees("Replace Marit's link?")
	leader.shot("board-new-link-asked")
	leader.presses(`#answer button[value^="lrevoke"]`)
	leader.sees("old link opens nothing any more")
	leader.shot("board-new-link")

	marit.sees("This link opens nothing any more")
	marit.shot("chat-replaced")
	marit.opens(marit.page)
	marit.sees("This link was replaced by a newer one")
	link := value[string](leader, `document.querySelector("#answer pre").textContent`)
	path, ours := strings.CutPrefix(link, s.server.URL)
	if !ours {
		t.Fatalf("the new link is %q", link)
	}
	marit.opens(path)
	marit.sees("Label: 31.6 %")
	marit.sees("Connected")
	if strings.Contains(s.log.String(), path[len(path)-22:]) {
		t.Error("the new link is in the log")
	}
	leader.clean()
}

// presses presses what a selector finds, in one go: the live board may be
// drawn anew between looking and pressing.
func (p *phone) presses(selector string) {
	p.t.Helper()
	p.waits("document.querySelector(`" + selector + "`) !== null")
	value[bool](p, "document.querySelector(`"+selector+"`).click() ?? true")
}

// A leader who asks for the board in the chat sees the chart there, in the
// message, without scrolling sideways, and its words are the picture's.
func TestTheChartInTheChat(t *testing.T) {
	s := newService(t)
	marit, leader := s.phone("Marit", 390, 800), s.phone("Inês", 390, 800)
	marit.opens(marit.page)
	marit.types("36.4")
	marit.sees("STOP, NO-GO")
	leader.opens(leader.page)
	leader.sees("Connected")
	leader.types("/board")
	leader.waits(`document.querySelector("#talk li:last-child figure svg") !== null`)
	leader.waits(`document.querySelector("#talk figure svg").getBoundingClientRect().width > 250`)
	if n := value[int](leader, sideways); n > 0 {
		t.Errorf("%d px too wide", n)
	}
	if said := value[string](leader,
		`document.querySelector("#talk figure svg").getAttribute("aria-label")`); !strings.Contains(said, "M1: 36.4") ||
		!strings.Contains(said, "planned too deep") {
		t.Errorf("the picture's words are %q", said)
	}
	leader.shot("chat-chart")
	leader.clean()
}
