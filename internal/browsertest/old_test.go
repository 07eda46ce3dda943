package browsertest

import (
	"os"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// newer takes away what browsers learnt after 2018, as far as a page could ask
// for it: a script that uses any of it fails as it does on an old phone.
const newer = `
for (const [of, names] of [
  [AbortSignal, ["timeout", "any", "abort"]], [Array.prototype, ["at", "flat", "flatMap", "findLast", "findLastIndex", "toSorted", "toReversed", "with"]],
  [String.prototype, ["at", "replaceAll", "matchAll", "trimStart", "trimEnd"]], [Object, ["fromEntries", "hasOwn", "groupBy"]],
  [Promise, ["allSettled", "any", "try", "withResolvers"]], [Promise.prototype, ["finally"]],
  [Element.prototype, ["replaceChildren", "checkVisibility", "setHTML", "getHTML"]], [Document.prototype, ["startViewTransition"]],
  [SubmitEvent.prototype, ["submitter"]], [HTMLFormElement.prototype, ["requestSubmit"]], [Crypto.prototype, ["randomUUID"]],
  [window, ["structuredClone", "queueMicrotask", "ResizeObserver", "IntersectionObserver", "visualViewport", "BroadcastChannel", "fetch", "AbortController",
    "EventSource", "globalThis"].filter((n) => WITHOUT.indexOf(n) < 0)],
]) { for (const n of names) { delete of[n]; if (of[n] !== undefined) { Object.defineProperty(of, n, { value: undefined }); } } }`

// without is a browser of those days, but for what it had: a stream of events
// in all but one.
func (p *phone) old(kept string) {
	p.t.Helper()
	script := `const WITHOUT = ["` + kept + `", "globalThis"];` + newer
	if _, err := chromedp.Call(p.ctx, page.AddScriptToEvaluateOnNewDocument,
		page.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
		p.t.Fatal(err)
	}
}

// A phone of 2018 does all that others do: it sends, hears, presses, and sends
// later what it kept; one without a stream of events asks by itself.
func TestPhonesOf2018(t *testing.T) {
	for name, kept := range map[string]string{"with a stream": "EventSource", "without one": ""} {
		t.Run(name, func(t *testing.T) {
			s := newService(t)
			p := s.phone("Tomasz", 360, 740)
			p.old(kept)
			p.opens(p.page)
			p.sees("Connected")
			if !value[bool](p,
				`document.documentElement.classList.contains("scripted") && typeof window.fetch === "undefined"`) {
				t.Fatal("the script does not run, or nothing was taken away")
			}
			value[bool](p, `window.stays = true`)
			p.types("31.8")
			p.sees("Label: 31.8 %")
			p.presses(`#talk form.choices button[value^="undo"]`)
			p.waits(`[...document.querySelectorAll("li.own")].some(l => l.innerText.startsWith("Undo"))`)
			s.cut()
			p.sees("No connection")
			p.types("31.6")
			p.sees("not sent yet")
			s.join()
			p.gone("not sent yet")
			p.sees("31.6")
			if !value[bool](p, `window.stays === true`) {
				t.Error("the page was loaded again: the form did what the script should")
			}
			p.clean()
		})
	}
}

// Where the script can't send, the form does.
func TestTheFormSendsWhatTheScriptCant(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 360, 740)
	p.opens(p.page)
	p.sees("Connected")
	value[bool](p, `XMLHttpRequest.prototype.send = () => { throw new Error("not here"); }, true`)
	p.types("31.8")
	p.sees("Label: 31.8 %")
	if n := value[int](p,
		`[...document.querySelectorAll("li.own")].filter(l => l.innerText.startsWith("31.8")).length`); n != 1 {
		t.Errorf("what was sent stands there %d times", n)
	}
}

// Until the service was heard, the page does not say that it is connected.
func TestConnectingUntilConnected(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 360, 740)
	p.opens(p.page)
	p.sees("Connected")
	p.old("globalThis")
	if _, err := chromedp.Call(p.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: `window.EventSource = function () { this.close = () => {}; this.addEventListener = () => {}; this.readyState = 0; }`}); err != nil {
		t.Fatal(err)
	}
	p.opens(p.page)
	p.sees("Connecting")
	if value[bool](p, holds("Connected")) {
		t.Error("it says connected, and heard nothing")
	}
}

// The script has no syntax that is newer than 2018.
func TestTheScriptsSyntax(t *testing.T) {
	parser, err := os.ReadFile("../../node_modules/acorn/dist/acorn.js")
	if err != nil {
		missing(t, "no acorn")
	}
	s := newService(t)
	p := s.phone("Tomasz", 360, 740)
	p.opens(p.page)
	value[bool](p, string(parser)+";true")
	for _, path := range []string{`document.querySelector("script[src]").src`, `"/page/worker.js"`} {
		said := value[string](p, `fetch(`+path+
			`).then(r => r.text()).then(s => { try { acorn.parse(s, {ecmaVersion: 2018}); return s.length > 500 ? "" : "short"; } catch (e) { return e.message; } })`)
		if said != "" {
			t.Errorf("%s: %s", path, said)
		}
	}
	if said := value[string](p,
		`(() => { try { acorn.parse("a?.b", {ecmaVersion: 2018}); return "taken"; } catch (e) { return ""; } })()`); said != "" {
		t.Error("the parser takes newer syntax, so that it proves nothing")
	}
}
