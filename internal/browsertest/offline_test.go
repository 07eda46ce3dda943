package browsertest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// A message typed without network stays on the phone, also when the page is
// opened again without one, and is recorded once when the network is back.
func TestMessageWithoutNetwork(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 390, 800)
	p.opens(p.page)
	p.sees("Connected")
	p.waits(`navigator.serviceWorker.controller !== null`)
	p.types("what is my gas")
	p.sees("received")

	s.cut()
	p.types("31.8")
	p.sees("not sent yet: only on this phone")
	p.sees("No connection")
	p.shot("offline-typed")

	p.do(chromedp.Navigate(s.server.URL + p.page))
	p.sees("OLD: seen")
	p.sees("what is my gas")
	p.sees("31.8")
	p.sees("not sent yet: only on this phone")
	if value[int](p, `document.querySelectorAll("li.bot button").length`) != 0 {
		t.Error("what is old can be pressed")
	}
	p.shot("offline-old")
	p.types("and the depth?")
	p.sees("and the depth?")

	s.join()
	p.sees("Label: 31.8 %")
	p.gone("not sent yet: only on this phone")
	if n := value[int](p,
		`[...document.querySelectorAll("li.own")].filter(l => l.innerText.startsWith("31.8")).length`); n != 1 {
		t.Errorf("the message stands there %d times", n)
	}
	if n := value[int](p, `document.body.innerText.replaceAll("\u00a0", " ").split("Label: 31.8 %").length - 1`); n != 1 {
		t.Errorf("recorded %d times", n)
	}
	p.shot("offline-sent")
}

// A board without network says how old it is, and never looks fresh.
func TestBoardWithoutNetwork(t *testing.T) {
	s := newService(t)
	p := s.phone("Inês", 390, 800)
	p.opens(p.page + "/board")
	p.sees("Connected")
	p.waits(`navigator.serviceWorker.controller !== null && Object.keys(localStorage).some(k => k.startsWith("gm:seen-board"))`)
	s.cut()
	p.sees("No connection")
	p.shot("board-lost")
	p.do(chromedp.Navigate(s.server.URL + p.page + "/board"))
	p.sees("OLD: seen")
	p.sees("ANALYSE FIRST")
	if top := value[int](p,
		`Math.round(document.querySelector("#live .verdict").getBoundingClientRect().top - document.getElementById("talk-area").getBoundingClientRect().top)`); top < 0 || top > 40 {
		t.Errorf("the old board opens %d px from its top", top)
	}
	p.shot("board-old")
	s.join()
	p.sees("Connected")
	if kept := value[string](p,
		`caches.keys().then(ks => Promise.all(ks.map(k => caches.open(k).then(c => c.keys())))).then(all => all.flat().map(r => new URL(r.url).pathname).join(" "))`); kept != "/page/page.js /page/icon.svg /page/offline" {
		t.Errorf("the phone keeps more than the shell: %s", kept)
	}
}
