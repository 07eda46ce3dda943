package browsertest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// What is around the conversation leaves 70 % of a phone's screen to it, and
// half of what a keyboard leaves.
func TestTheConversationHasRoom(t *testing.T) {
	s := newService(t)
	for _, name := range []string{"Tomasz", "Inês"} {
		p := s.phone(name, 360, 740)
		p.opens(p.page)
		p.sees("Connected")
		for _, c := range []struct {
			height int64
			share  float64
		}{{740, 0.7}, {440, 0.5}} {
			p.do(chromedp.EmulateViewport(360, c.height))
			main := value[float64](p, `document.getElementById("talk-area").getBoundingClientRect().height`)
			if main < c.share*float64(c.height) {
				t.Errorf("%s: %.0f px of %d are left, want %.0f %%", name, main, c.height, c.share*100)
			}
			p.shot(fmt.Sprintf("room-%s-%d", name, c.height))
		}
	}
}

// inView tells whether what a selector finds begins within the conversation's view.
func inView(selector string) string {
	return `(() => { const e = document.querySelector(` + "`" + selector + "`" + `), m = document.getElementById("talk-area").getBoundingClientRect();
	  if (!e) { return false; } const r = e.getBoundingClientRect(); return r.top >= m.top - 1 && r.top < m.bottom - 20; })()`
}

// What was said last is in view from its beginning, the verdict above all, and
// a question that lies below is announced; one tap shows it.
func TestWhatIsDueIsInView(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 360, 500)
	p.opens(p.page)
	p.sees("Connected")
	p.types("36.4")
	p.waits(inView(".says.no-go.loud"))
	p.sees("1 question below")
	p.shot("due-after-a-reading")
	p.presses("#newer")
	p.waits(inView(".bubble > form.asks"))
	// the end of a long one is one tap further
	p.waits(`document.getElementById("newer").hidden || document.getElementById("newer").click()`)
	p.shot("due-question")
	p.opens(p.page) // and so it is when the page is opened again
	p.waits(inView(".says.no-go.loud"))
	p.sees("question below")

	leader := s.phone("Inês", 360, 740)
	limit := func(metres string) {
		leader.opens(leader.page + "/board/p2/limit?dive_shown=1")
		leader.do(chromedp.SendKeys(chromedp.CSS(`input[name="depth"]`), metres),
			chromedp.SendKeys(chromedp.CSS(`input[name="reason"]`), "first dive"),
			chromedp.Click(chromedp.CSS(`form.one .send`)))
		leader.waits(`document.getElementById("answer") !== null`)
		p.sees(metres + " m")
	}
	value[bool](p, `(Date.now = (now => () => now() + 120000)(Date.now), true)`) // what was said is two minutes ago
	limit("19")
	// It came by itself: it is in view, and not what was said before it.
	p.waits(inView("#talk li:last-child"))
	p.shot("due-from-the-leader")
	value[bool](p, `(document.getElementById("talk-area").scrollTop = 0, true)`)
	p.sees("below")
	limit("18")
	if top := value[int](p, `document.getElementById("talk-area").scrollTop`); top != 0 {
		t.Errorf("somebody who reads further up was moved to %d", top)
	}
}

// The verdict is the largest thing in its bubble, and its frame tells it apart
// without any colour.
func TestTheVerdictIsTheLargest(t *testing.T) {
	s := newService(t)
	for _, c := range []struct{ name, typed, verdict, frame string }{
		{"Tomasz", "31.8", "go", "1px solid"}, {"Marit", "36.4", "no-go", ""},
	} {
		p := s.phone(c.name, 360, 740)
		p.opens(p.page)
		p.types(c.typed)
		p.waits(`document.querySelector(".says.loud.` + c.verdict + `") !== null`)
		smaller := value[bool](p, `(() => { const says = document.querySelector(".says.loud.`+c.verdict+`"), size = (e) => parseFloat(getComputedStyle(e).fontSize);
		  return [...document.querySelectorAll("#talk p")].filter(x => !x.classList.contains("loud")).every(x => size(x) < size(says)); })()`)
		if !smaller {
			t.Errorf("%s: something is as large as the verdict", c.name)
		}
		filled := value[bool](p, `(() => { const e = document.querySelector(".says.loud.`+c.verdict+
			`"); return getComputedStyle(e).backgroundColor !== "rgba(0, 0, 0, 0)"; })()`)
		if filled != (c.verdict == "no-go") {
			t.Errorf("%s: filled is %v", c.verdict, filled)
		}
		if frame := value[string](p,
			`(s => s.borderTopWidth + " " + s.borderTopStyle)(getComputedStyle(document.querySelector(".says.loud.`+c.verdict+
				`")))`); c.frame != "" && frame != c.frame {
			t.Errorf("%s: framed %s, want %s", c.verdict, frame, c.frame)
		}
		p.clean()
	}
}

// What waits in one tab stands in every tab of that phone.
func TestAnotherTabsWaitingMessages(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 360, 740)
	p.opens(p.page)
	p.sees("Connected")
	s.cut()
	p.sees("No connection")
	// What another tab writes comes as an event of the memory.
	value[bool](p, `(() => { const base = document.body.getAttribute("data-base"), key = "gm:unsent:" + base, waiting = JSON.stringify([{id: "tab2", text: "31.7", at: Date.now()}]);
	  localStorage.setItem(key, waiting); window.dispatchEvent(new StorageEvent("storage", {key})); return true; })()`)
	p.sees("31.7")
	p.sees("not sent yet")
	s.join()
	p.sees("Label: 31.7 %")
	p.gone("not sent yet")
}

// A link that was closed leaves nothing on the phone.
func TestAClosedLinkLeavesNothing(t *testing.T) {
	s := newService(t)
	p, leader := s.phone("Tomasz", 360, 740), s.phone("Inês", 360, 740)
	p.opens(p.page)
	p.sees("Connected")
	p.types("31.8")
	p.sees("Label: 31.8 %")
	p.waits(`Object.keys(localStorage).some(k => k.startsWith("gm:seen-chat"))`)
	leader.opens(leader.page + "/board?show=all")
	leader.about("Tomasz")
	leader.presses(`form:has([value="revoke"]) button`)
	leader.presses(`#answer button[value^="lrevoke"]`)
	p.sees("opens nothing any more")
	p.waits(`Object.keys(localStorage).filter(k => k.startsWith("gm:")).length === 0`)

	value[bool](p,
		`(localStorage.setItem("gm:seen-chat:" + location.pathname, "{}"), localStorage.setItem("gm:unsent:/c/another", "[]"), true)`)
	p.do(chromedp.Navigate(s.server.URL + p.page))
	p.sees("replaced by a newer one")
	p.waits(`Object.keys(localStorage).filter(k => k.startsWith("gm:")).join() === "gm:unsent:/c/another"`)
}

// Two phone screens hold the board of eight divers of whom nobody reported,
// each with the one thing to do.
func TestEightDiversFitTwoScreens(t *testing.T) {
	s := newService(t)
	s.bookEight()
	p := s.phone("Rui", 360, 740)
	p.opens(p.page + "/board")
	p.sees("Connected")
	p.shot("board-eight")
	if n := value[int](p, `document.documentElement.scrollHeight`); n > 2*740 {
		t.Errorf("the board is %d px high, want at most %d", n, 2*740)
	}
	if n := value[int](p, `document.querySelectorAll("li.person .act").length`); n != 8 {
		t.Errorf("%d of 8 rows have their act", n)
	}
	if n := value[int](p, sideways); n > 0 {
		t.Errorf("%d px too wide", n)
	}
}
