package booking

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// sheet is a file with its columns by their own names. Rows are numbered as a
// spreadsheet shows them.
type sheet struct {
	header  []string
	headRow int
	rows    []sheetRow
	wide    []heading // blends of several dives beside each other
}

type sheetRow struct {
	number int
	cells  []string // trimmed; as many as the header has
}

// tripSheet turns a sheet into the JSON document of a trip, which is then read
// like any other, and remembers which cell each of its values came from.
type tripSheet struct {
	sheet
	faults *Faults
	last   *booked // whom the row above is about
	doc    map[string]any
	places map[string]place // by JSON pointer
	people map[string]*booked
	index  map[string]int // column name -> cell
	zone   *time.Location
}

// booked is a person of the sheet.
type booked struct {
	at        string // pointer
	row       int    // where the person came first
	doc       map[string]any
	given     map[string]string // column -> cell, of the person's own columns
	cylinders int
	on        map[string]int // row of the first cylinder of a dive
	lastRow   int
}

// readTripSheet makes the document of a trip and the cells of its values. The
// rows of one diver carry the same name; trip columns count on the first row
// and may be repeated below, or left empty.
func readTripSheet(s sheet, f *Faults) (map[string]any, map[string]place) {
	t := &tripSheet{sheet: s, faults: f, doc: map[string]any{}, places: map[string]place{}, people: map[string]*booked{},
		index: map[string]int{}}
	t.readHeader()
	t.readTripCells()
	for _, r := range t.rows {
		t.readRow(r)
	}
	for list, name := range map[string]string{"/leaders": roleColumn, "/crew": roleColumn, "/divers": "diver",
		"/dives": "dive1_site", "": "trip"} {
		t.places[list] = place{t.firstRow(), name}
	}
	return t.doc, t.places
}

func (t *tripSheet) firstRow() int {
	if len(t.rows) == 0 {
		return 2
	}
	return t.rows[0].number
}

func (t *tripSheet) readHeader() {
	for i, name := range t.header {
		_, twice := t.index[name]
		switch {
		case name == "" && t.blank(i): // a spreadsheet's empty column
		case !isColumn(name):
			t.faults.sayCell("", t.headRow, name, message.Say("fault.file.column",
				message.Args{"most": message.Text(nearest(name))}))
		case twice:
			t.faults.sayCell("", t.headRow, name, message.Say("fault.file.twice", nil))
		default:
			t.index[name] = i
		}
	}
}

func (t *tripSheet) blank(i int) bool {
	for _, r := range t.rows {
		if r.cells[i] != "" {
			return false
		}
	}
	return true
}

// cell is the text of a row's cell, "" when the column isn't there.
func (t *tripSheet) cell(r sheetRow, name string) string {
	if i, ok := t.index[name]; ok {
		return r.cells[i]
	}
	return ""
}

// readTripCells reads the trip's own columns.
func (t *tripSheet) readTripCells() {
	if len(t.rows) == 0 {
		return
	}
	first := t.rows[0]
	t.zone, _ = roster.Zone(t.cell(first, "time_zone"))
	for _, c := range Columns {
		if c.of != ofTrip {
			continue
		}
		text := t.cell(first, c.Name)
		t.places[c.at] = place{first.number, c.Name}
		for _, r := range t.rows[1:] {
			if again := t.cell(r, c.Name); again != "" && again != text {
				t.faults.sayCell(c.at, r.number, c.Name, message.Say("fault.file.trip", message.Args{"value": message.Typed(again),
					"was": message.Typed(text), "row": message.Count(first.number)}))
				break
			}
		}
		if text != "" {
			t.put(t.doc, "", c, first.number, text)
		}
	}
}

// readRow reads the person and the cylinder of a row.
func (t *tripSheet) readRow(r sheetRow) {
	said := map[holder]bool{}
	for _, c := range Columns {
		said[c.of] = said[c.of] || t.cell(r, c.Name) != ""
	}
	if !said[ofPerson] && !said[ofCylinder] {
		return // the trip alone
	}
	name := roster.CleanName(t.cell(r, "diver"))
	if name == "" {
		t.faults.sayCell("", r.number, "diver", message.Say("fault.file.diver", nil))
		return
	}
	p := t.person(name, r)
	t.sameOne(p, r)
	t.readPersonCells(p, r)
	if said[ofCylinder] {
		t.readCylinder(p, r)
	}
}

// person finds or begins the person of a row.
func (t *tripSheet) person(name string, r sheetRow) *booked {
	key := strings.ToLower(name)
	if p := t.people[key]; p != nil {
		return p
	}
	list := "divers"
	switch role := strings.ToLower(t.cell(r, roleColumn)); role {
	case "leader":
		list = "leaders"
	case "crew":
		list = "crew"
	case "diver", "":
	default:
		t.faults.sayCell("", r.number, roleColumn, notOneOf(role, "diver, leader, crew"))
	}
	have, _ := t.doc[list].([]any)
	p := &booked{at: element("/"+list, len(have)), row: r.number, doc: map[string]any{}, given: map[string]string{}}
	t.doc[list] = append(have, p.doc)
	t.people[key] = p
	t.places[p.at] = place{r.number, "diver"}
	t.places[p.at+"/cylinders"] = place{r.number, "asked"}
	return p
}

// sameOne asks about a name that comes again below somebody else's: it may be one
// person, or two of one name.
func (t *tripSheet) sameOne(p *booked, r sheetRow) {
	if t.last != p && p.lastRow > 0 {
		t.faults.sayCell("", r.number, "diver", message.Say("fault.file.again",
			message.Args{"row": message.Count(p.lastRow)}))
	}
	t.last, p.lastRow = p, r.number
}

// readPersonCells takes what a row says of its person. What was said on an
// earlier row may be left out or said again.
func (t *tripSheet) readPersonCells(p *booked, r sheetRow) {
	for _, c := range Columns {
		if c.of != ofPerson {
			continue
		}
		text := t.cell(r, c.Name)
		before, said := p.given[c.Name]
		switch {
		case said && text != "" && text != before && !(c.kind == cellWord && strings.EqualFold(text, before)):
			t.faults.sayCell(p.at+c.at, r.number, c.Name, message.Say("fault.file.person",
				message.Args{"value": message.Typed(text),
					"was": message.Typed(before)}))
		case text != "" && !said:
			p.given[c.Name] = text
			t.settle(p, c, r.number, text)
		case !said && r.number == p.row && c.Name != roleColumn:
			t.places[p.at+c.at] = place{r.number, c.Name}
		}
	}
}

// settle stores a person's cell. The role was settled when the person came
// first: a later row can't change it.
func (t *tripSheet) settle(p *booked, c column, row int, text string) {
	if c.Name != roleColumn {
		t.put(p.doc, p.at, c, row, text)
		return
	}
	if row != p.row && !strings.EqualFold(text, "diver") {
		t.faults.sayCell("", row, roleColumn, message.Say("fault.file.role", message.Args{"row": message.Count(p.row)}))
	}
}

func (t *tripSheet) readCylinder(p *booked, r sheetRow) {
	doc := map[string]any{}
	t.sameDive(p, r)
	at := element(p.at+"/cylinders", p.cylinders)
	p.cylinders++
	have, _ := p.doc["cylinders"].([]any)
	p.doc["cylinders"] = append(have, doc)
	t.places[at] = place{r.number, "asked"}
	for _, c := range Columns {
		if c.of != ofCylinder {
			continue
		}
		t.places[at+c.at] = place{r.number, c.Name}
		if text := t.cell(r, c.Name); text != "" {
			t.put(doc, at, c, r.number, text)
		}
	}
}

// sameDive asks about a second cylinder of a diver that says no dive: it may be
// for the next one, or two for the first.
func (t *tripSheet) sameDive(p *booked, r sheetRow) {
	dive := t.cell(r, "dive")
	if p.on == nil {
		p.on = map[string]int{}
	}
	if before := p.on["1"]; dive == "" && before > 0 {
		t.faults.sayCell("", r.number, "dive", message.Say("fault.file.dive", message.Args{"row": message.Count(before)}))
	}
	if dive == "" {
		dive = "1"
	}
	if p.on[dive] == 0 {
		p.on[dive] = r.number
	}
}

// put reads a cell and sets it in doc, which stands at a pointer. A cell that
// can't be read is a fault, and its field stays away: that it is then missing
// is no second fault, since its place has one.
func (t *tripSheet) put(doc map[string]any, at string, c column, row int, text string) {
	t.places[at+c.at] = place{row, c.Name}
	v, err := t.value(c.kind, text)
	if err != nil {
		t.faults.sayCell(at+c.at, row, c.Name, lineOf(err))
	}
	set(doc, strings.Split(c.at[1:], "/"), v)
}

// set puts a value into nested objects and arrays, which it makes on the way;
// nil makes the way only.
func set(doc map[string]any, path []string, v any) {
	name := path[0]
	switch {
	case len(path) == 1:
		if v != nil {
			doc[name] = v
		}
	case name == "dives":
		n, _ := strconv.Atoi(path[1])
		dives, _ := doc[name].([]any)
		for len(dives) <= n {
			dives = append(dives, map[string]any{})
		}
		doc[name] = dives
		set(dives[n].(map[string]any), path[2:], v)
	default:
		below, _ := doc[name].(map[string]any)
		if below == nil {
			below = map[string]any{}
			doc[name] = below
		}
		set(below, path[1:], v)
	}
}

// value is what a cell means in JSON; nil with an error.
func (t *tripSheet) value(kind cellKind, text string) (any, error) {
	read := cellAsNumber
	switch kind {
	case cellText:
		return text, nil
	case cellWord:
		return strings.ToLower(text), nil
	case cellMoment:
		return orNil(cellAsMoment(text, t.zone))
	case cellList:
		var list []any
		for _, one := range strings.Split(text, "|") {
			list = append(list, one)
		}
		return list, nil
	case cellYes:
		return yesOrNo(text)
	case cellBottom:
		return DepthOrNone(text)
	case cellBlend:
		read = cellAsBlend
	}
	return numeral(read(text))
}

func orNil(s string, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	return s, nil
}

func notOneOf(text, words string) message.Line {
	return message.Say("fault.words", message.Args{"value": message.Typed(text), "most": message.Text(words)})
}

func yesOrNo(text string) (any, error) {
	switch strings.ToLower(text) {
	case "yes", "true":
		return true, nil
	case "no", "false":
		return false, nil
	}
	return nil, wrong{notOneOf(text, "yes, no")}
}
