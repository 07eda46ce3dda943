package demo

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The shop's page of the demo: plain forms, each of which is one call of the
// shop's API, with the answer shown when it is a refusal.

type shopView struct {
	frame
	Now      string
	Status   string
	Counts   string
	Lines    []shopLine
	Blends   []shopBlend
	Locked   string
	NotIn    []guest
	Problem  string
	Done     string
	Caution  string
	Cylinder []string
}

type shopLine struct {
	Name, Verdict, Why string
	Cylinders          []string
}

type shopBlend struct {
	Blend string
	Count int
	Names string
}

// apiBoard and apiFills are what the page reads of the API's answers.
type apiBoard struct {
	Status gas.Status
	Counts roster.Counts
	Divers []struct {
		Name, Verdict string
		Out           *struct{ Reason string }
		Cylinders     []struct {
			ID, Label string
			Dive      int
			Asked     float64
			Reading   *struct{ Percent float64 }
			MOD       float64 `json:"mod"`
		}
		Findings []struct{ Text string }
	}
	NotJoined []roster.PersonID `json:"not_joined"`
	Caution   string
}

type apiFills struct {
	Locked time.Time `json:"locked_at"`
	Blends []struct {
		Asked     float64
		Count     int
		Cylinders []string
	}
	Divers []struct {
		Name      string
		Cylinders []struct {
			ID, Label   string
			Asked       float64
			ChangedFrom float64 `json:"changed_from"`
			Check       *struct {
				Status               gas.Status
				Recommended, Richest float64
			}
		}
	}
}

func (p *web) shop(w http.ResponseWriter, r *http.Request) { p.shopPage(w, "", r.FormValue("done")) }

func (p *web) shopPage(w http.ResponseWriter, problem, done string) {
	var board apiBoard
	var fills apiFills
	for path, into := range map[string]any{"/board": &board, "/fills": &fills} {
		if status, body := p.s.call(http.MethodGet, p.s.path(path), ""); status != http.StatusOK || json.Unmarshal(body, into) != nil {
			http.Error(w, string(body), http.StatusInternalServerError)
			return
		}
	}
	v := shopView{frame: p.frame(), Problem: problem, Caution: board.Caution}
	if done != "" {
		v.Done = v.T("demo.shop.done")
	}
	now := p.s.clock.Now()
	v.Now = v.line("demo.now", message.Args{"day": message.Day(now, zone), "at": message.Clock(now, zone)})
	v.Status = p.s.Renderer.Line(message.Verdict(board.Status, gas.Depth{}), message.Reader{})
	v.Counts = v.line("demo.shop.counts", message.Args{"active": message.Count(board.Counts.Active), "go": message.Count(board.Counts.Go),
		"limits": message.Count(board.Counts.Limits), "stop": message.Count(board.Counts.NoGo), "missing": message.Count(board.Counts.NoReading)})
	v.addBoard(board)
	v.addFills(fills)
	for _, g := range p.s.people {
		for _, id := range board.NotJoined {
			if id == g.ID {
				v.NotIn = append(v.NotIn, g)
			}
		}
	}
	p.show(w, "shop", v)
}

func (v *shopView) addBoard(b apiBoard) {
	for _, d := range b.Divers {
		line := shopLine{Name: d.Name, Verdict: d.Verdict}
		if d.Out != nil {
			line.Verdict, line.Why = v.T("demo.shop.out"), d.Out.Reason
		} else if len(d.Findings) > 0 {
			line.Why = d.Findings[0].Text
		}
		for _, c := range d.Cylinders {
			args := message.Args{"cylinder": message.Name(c.Label), "dive": message.Count(c.Dive), "asked": message.Blend(gas.Percent(c.Asked))}
			key := "demo.shop.cylinder"
			if c.Reading != nil {
				key += ".read"
				args["percent"], args["mod"] = message.Percent(gas.Percent(c.Reading.Percent)), message.Limit(gas.M(c.MOD))
			}
			line.Cylinders = append(line.Cylinders, v.line(key, args))
			v.Cylinder = append(v.Cylinder, c.ID+" "+c.Label)
		}
		v.Lines = append(v.Lines, line)
	}
}

func (v *shopView) addFills(f apiFills) {
	labels := map[string]string{}
	for _, d := range f.Divers {
		for _, c := range d.Cylinders {
			text := c.Label
			if text == "" {
				text = c.ID
			}
			if c.Check != nil && c.Check.Status == gas.NoGo {
				text = v.line("demo.shop.unfit", message.Args{"cylinder": message.Name(text), "name": message.Name(d.Name),
					"mix": message.Blend(gas.Percent(c.Check.Recommended)), "richest": message.Blend(gas.Percent(c.Check.Richest))})
			}
			if c.ChangedFrom > 0 {
				text = v.line("demo.shop.late", message.Args{"cylinder": message.Name(text), "was": message.Blend(gas.Percent(c.ChangedFrom))})
			}
			labels[c.ID] = text
		}
	}
	for _, b := range f.Blends {
		var names []message.Value
		for _, id := range b.Cylinders {
			names = append(names, message.Code(labels[id]))
		}
		v.Blends = append(v.Blends, shopBlend{v.line("demo.shop.blend", message.Args{"blend": message.Blend(gas.Percent(b.Asked))}), b.Count,
			v.line("demo.shop.list", message.Args{"list": message.List(names...)})})
	}
	if !f.Locked.IsZero() {
		v.Locked = v.line("demo.shop.locked", message.Args{"at": message.Moment(f.Locked, zone)})
	}
}

// raw shows an answer of the API as it is.
func (p *web) raw(w http.ResponseWriter, r *http.Request) {
	path, ok := map[string]string{"trip.json": "", "board.json": "/board", "fills.json": "/fills"}[r.PathValue("what")]
	if !ok {
		http.NotFound(w, r)
		return
	}
	status, body := p.s.call(http.MethodGet, p.s.path(path), "")
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(body)
}

// act makes one call of the API of what was pressed.
func (p *web) act(w http.ResponseWriter, r *http.Request) {
	method, path, body, ok := callFor(r)
	if !ok {
		http.Error(w, fmt.Sprintf("%q is no action of the shop", r.FormValue("do")), http.StatusBadRequest)
		return
	}
	status, answer := p.s.call(method, p.s.path(path), body)
	if status >= 400 {
		p.shopPage(w, problemText(answer), "")
		return
	}
	if err := p.s.settle(r.Context()); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	http.Redirect(w, r, "/shop?done=1", http.StatusSeeOther)
}

// callFor is the API call of a form of the page.
func callFor(r *http.Request) (method, path, body string, ok bool) {
	switch r.FormValue("do") {
	case "announce":
		return http.MethodPost, "/announce", "", true
	case "lock":
		return http.MethodPost, "/fills/lock", "", true
	case "fill":
		return http.MethodPost, "/fills/" + cylinderOf(r), "", true
	case "reading":
		return http.MethodPost, "/readings", document(map[string]any{"cylinder": cylinderOf(r), "percent": typed(r.FormValue("percent")), "analyser": "shop"}), true
	case "delay":
		return http.MethodPatch, "", document(map[string]any{"departs_at": departs.Add(45 * time.Minute).UTC()}), true
	}
	return "", "", "", false
}

func document(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // our own types
	}
	return string(b)
}

// typed is what was typed: a number, or text that the API then refuses.
func typed(s string) any {
	s = strings.Replace(strings.TrimSpace(s), ",", ".", 1)
	if _, err := strconv.ParseFloat(s, 64); err != nil {
		return s
	}
	return json.Number(s)
}

// cylinderOf is the id in "c5 T1".
func cylinderOf(r *http.Request) string {
	var id string
	_, _ = fmt.Sscan(r.FormValue("cylinder"), &id)
	return id
}

// problemText is a problem document as one line for people.
func problemText(b []byte) string {
	var doc struct {
		Detail string
		Errors []struct{ Pointer, Detail string }
	}
	if json.Unmarshal(b, &doc) != nil {
		return string(b)
	}
	text := doc.Detail
	for _, e := range doc.Errors {
		text += " " + e.Pointer + " " + e.Detail + "."
	}
	return text
}
