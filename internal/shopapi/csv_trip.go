package shopapi

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/roster"
)

// place is a cell: a row as a spreadsheet numbers it and a column's name.
type place struct {
	row    int
	column string
}

// tripSheet turns a sheet into the JSON document of a trip, which is then read
// like any other, and remembers which cell each of its values came from.
type tripSheet struct {
	sheet
	faults *faults
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
}

// readTripSheet makes the document of a trip and the cells of its values. The
// rows of one diver carry the same name; trip columns count on the first row
// and may be repeated below, or left empty.
func readTripSheet(s sheet, f *faults) (map[string]any, map[string]place) {
	t := &tripSheet{sheet: s, faults: f, doc: map[string]any{}, places: map[string]place{}, people: map[string]*booked{}, index: map[string]int{}}
	t.readHeader()
	t.readTripCells()
	for _, r := range t.rows {
		t.readRow(r)
	}
	for list, name := range map[string]string{"/leaders": roleColumn, "/divers": "diver", "/dives": "dive1_site", "": "trip"} {
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
	known := map[string]bool{}
	var names []string
	for _, c := range columns {
		known[c.name] = true
		names = append(names, c.name)
	}
	for i, name := range t.header {
		_, twice := t.index[name]
		switch {
		case name == "" && t.blank(i): // a spreadsheet's empty column
		case !known[name]:
			t.faults.addCell("", 1, name, "is not a known column: accepted are %s", strings.Join(names, ", "))
		case twice:
			t.faults.addCell("", 1, name, "is there twice")
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
	for _, c := range columns {
		if c.of != ofTrip {
			continue
		}
		text := t.cell(first, c.name)
		t.places[c.at] = place{first.number, c.name}
		for _, r := range t.rows[1:] {
			if again := t.cell(r, c.name); again != "" && again != text {
				t.faults.addCell(c.at, r.number, c.name, "is %s, but %s on row %d: what concerns the trip stands on its first row, below it may be empty or the same",
					quoted(again), quoted(text), first.number)
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
	for _, c := range columns {
		said[c.of] = said[c.of] || t.cell(r, c.name) != ""
	}
	if !said[ofPerson] && !said[ofCylinder] {
		return // the trip alone
	}
	name := roster.CleanName(t.cell(r, "diver"))
	if name == "" {
		t.faults.addCell("", r.number, "diver", "is empty: the name of the diver who breathes this cylinder is required on every row")
		return
	}
	p := t.person(name, r)
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
	case "diver", "":
	default:
		t.faults.addCell("", r.number, roleColumn, "is %s: accepted are diver, leader, or nothing for a diver", quoted(role))
	}
	have, _ := t.doc[list].([]any)
	p := &booked{at: element("/"+list, len(have)), row: r.number, doc: map[string]any{}, given: map[string]string{}}
	t.doc[list] = append(have, p.doc)
	t.people[key] = p
	t.places[p.at] = place{r.number, "diver"}
	t.places[p.at+"/cylinders"] = place{r.number, "asked"}
	return p
}

// readPersonCells takes what a row says of its person. What was said on an
// earlier row may be left out or said again.
func (t *tripSheet) readPersonCells(p *booked, r sheetRow) {
	for _, c := range columns {
		if c.of != ofPerson {
			continue
		}
		text := t.cell(r, c.name)
		before, said := p.given[c.name]
		switch {
		case said && text != "" && text != before && !(c.kind == cellWord && strings.EqualFold(text, before)):
			t.faults.addCell(p.at+c.at, r.number, c.name, "is %s, but %s for the same diver on an earlier row: rows of one diver agree, and two divers have names that tell them apart",
				quoted(text), quoted(before))
		case text != "" && !said:
			p.given[c.name] = text
			t.settle(p, c, r.number, text)
		case !said && r.number == p.row && c.name != roleColumn:
			t.places[p.at+c.at] = place{r.number, c.name}
		}
	}
}

// settle stores a person's cell. The role was settled when the person came
// first: a later row can't change it.
func (t *tripSheet) settle(p *booked, c column, row int, text string) {
	if c.name != roleColumn {
		t.put(p.doc, p.at, c, row, text)
		return
	}
	if row != p.row && !strings.EqualFold(text, "diver") {
		t.faults.addCell("", row, roleColumn, "is %s, but this diver's first row, %d, has no role: give it there", quoted(text), p.row)
	}
}

func (t *tripSheet) readCylinder(p *booked, r sheetRow) {
	doc := map[string]any{}
	at := element(p.at+"/cylinders", p.cylinders)
	p.cylinders++
	have, _ := p.doc["cylinders"].([]any)
	p.doc["cylinders"] = append(have, doc)
	t.places[at] = place{r.number, "asked"}
	for _, c := range columns {
		if c.of != ofCylinder {
			continue
		}
		t.places[at+c.at] = place{r.number, c.name}
		if text := t.cell(r, c.name); text != "" {
			t.put(doc, at, c, r.number, text)
		}
	}
}

// put reads a cell and sets it in doc, which stands at a pointer. A cell that
// can't be read is a fault, and its field stays away: that it is then missing
// is no second fault, since its place has one.
func (t *tripSheet) put(doc map[string]any, at string, c column, row int, text string) {
	t.places[at+c.at] = place{row, c.name}
	v, err := t.value(c.kind, text)
	if err != nil {
		t.faults.addCell(at+c.at, row, c.name, "%s", err)
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
		if strings.EqualFold(text, "none") {
			return "none", nil
		}
	case cellBlend:
		read = cellAsBlend
	}
	n, err := read(text)
	if err != nil {
		return nil, err
	}
	return json.Number(n), nil
}

func orNil(s string, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	return s, nil
}

func yesOrNo(text string) (any, error) {
	switch strings.ToLower(text) {
	case "yes", "true":
		return true, nil
	case "no", "false":
		return false, nil
	}
	return nil, fmt.Errorf("is %s: yes or no is accepted", quoted(text))
}

// placeFaults gives every fault that was found in the document its cell, and
// keeps the first of each cell: the others follow from it.
func (f *faults) placeFaults(places map[string]place) {
	seen := map[place]bool{}
	var kept []fault
	for _, one := range f.list {
		if one.Row == 0 {
			one.Row, one.Column = cellOf(one.Pointer, places)
		}
		at := place{one.Row, one.Column}
		if one.Column != "" && seen[at] {
			continue
		}
		seen[at] = true
		kept = append(kept, one)
	}
	f.list = kept
}

// cellOf is the cell of a pointer, or of the nearest thing around it that has
// one.
func cellOf(pointer string, places map[string]place) (int, string) {
	for {
		if p, ok := places[pointer]; ok {
			return p.row, p.column
		}
		i := strings.LastIndexByte(pointer, '/')
		if i < 0 {
			return 0, ""
		}
		pointer = pointer[:i]
	}
}
