package booking

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// joinTimes makes one departure of a day and a time in columns of their own.
func (r *reader) joinTimes() {
	day, clock := r.column("date"), r.column("time")
	if day < 0 {
		return
	}
	at := r.column("departs_at")
	if at < 0 {
		at = r.addColumn("departs_at", r.head[day].text)
	}
	for _, one := range r.sheet.rows {
		if one.cells[at] == "" && one.cells[day] != "" {
			one.cells[at] = one.cells[day]
			if clock >= 0 && one.cells[clock] != "" {
				one.cells[at] += " " + one.cells[clock]
			}
		}
		one.cells[day] = ""
		if clock >= 0 {
			one.cells[clock] = ""
		}
	}
	r.sheet.header[day] = ""
	if clock >= 0 {
		r.sheet.header[clock] = ""
	}
}

var (
	writtenDate = regexp.MustCompile(`^(\d{1,2})[./-](\d{1,2})[./-](\d{4}|\d{2})(?:[ ,T]+(.+))?$`)
	yearFirst   = regexp.MustCompile(`^(\d{4})[./年](\d{1,2})[./月](\d{1,2})日?(?:[ ,T]+(.+))?$`)
	halfDay     = regexp.MustCompile(`(?i)^(\d{1,2})(?::(\d{2}))?(?::\d{2})?\s*([ap])\.?m\.?$`)
	shortClock  = regexp.MustCompile(`^(\d)[:.h](\d{2})`)
)

// dates writes days as ISO 8601 does. Whether the day or the month comes first is
// seen in the file: a number above 12 is a day. Where none is, it is asked.
func (r *reader) dates() {
	dayFirst, monthFirst := false, false
	r.each("departs_at", func(_ int, cell *string) {
		if m := writtenDate.FindStringSubmatch(*cell); m != nil {
			a, _ := strconv.Atoi(m[1])
			b, _ := strconv.Atoi(m[2])
			dayFirst, monthFirst = dayFirst || a > 12 || a == b || strings.Contains(*cell, "."), monthFirst || b > 12
		}
	})
	r.each("departs_at", func(row int, cell *string) {
		was := *cell
		switch m := writtenDate.FindStringSubmatch(*cell); {
		case m != nil && dayFirst == monthFirst:
			r.faults.sayCell("/departs_at", row, "departs_at", message.Say("fault.file.date",
				message.Args{"value": message.Typed(*cell)}))
			*cell = ""
		case m != nil && dayFirst:
			*cell = isoDate(m[3], m[2], m[1], m[4])
		case m != nil:
			*cell = isoDate(m[3], m[1], m[2], m[4])
		default:
			if m := yearFirst.FindStringSubmatch(*cell); m != nil {
				*cell = isoDate(m[1], m[2], m[3], m[4])
			}
		}
		if *cell != was && *cell != "" {
			r.guess(row, "departs_at", readAs(was, *cell))
		}
	})
}

func isoDate(year, month, day, clock string) string {
	if len(year) == 2 {
		year = "20" + year
	}
	text := fmt.Sprintf("%s-%02s-%02s", year, month, day)
	if clock = wallClock(clock); clock != "" {
		text += " " + clock
	}
	return text
}

// wallClock writes a time as 08:30.
func wallClock(text string) string {
	text = strings.TrimSpace(text)
	if m := halfDay.FindStringSubmatch(text); m != nil {
		hour, _ := strconv.Atoi(m[1])
		if hour %= 12; strings.EqualFold(m[3], "p") {
			hour += 12
		}
		minutes := m[2]
		if minutes == "" {
			minutes = "00"
		}
		return fmt.Sprintf("%02d:%s", hour, minutes)
	}
	if shortClock.MatchString(text) {
		text = "0" + text
	}
	return strings.Replace(strings.Replace(text, "h", ":", 1), ".", ":", 1)
}

// The words that cells of a column may hold.
var wordsOf = map[string][]string{roleColumn: {"leader", "crew", "diver"}, "units": {"m", "ft"},
	"diver_units": {"m", "ft"},
	"owner":       {"shop", "own"}, "boat_check": {"all", "unattended"}, "oxygen_credit": {"yes", "no"}}

// words takes usual words for those of the reader, in any of the languages.
func (r *reader) words() {
	list := map[string][]string{}
	for name, words := range wordsOf {
		list[name] = words
	}
	for n := range roster.MaxDives {
		list["dive"+strconv.Itoa(n+1)+"_water"] = []string{"salt", "fresh"}
	}
	for name, words := range list {
		r.each(name, func(row int, cell *string) {
			word := meant(*cell, words...)
			if word == "own" {
				word = "diver"
			}
			r.replace(row, name, cell, word)
		})
	}
	r.each("card", func(row int, cell *string) {
		switch meant(*cell, "seen", "unseen", "none", "yes", "no") {
		case "yes":
			r.replace(row, "card", cell, "seen")
		case "no", "none":
			r.replace(row, "card", cell, "none")
		case "seen":
			r.replace(row, "card", cell, "seen")
		case "unseen":
			r.replace(row, "card", cell, "unseen")
		}
	})
	for n := range roster.MaxDives + 1 {
		name := "asked"
		if n > 0 {
			name += strconv.Itoa(n)
		}
		r.each(name, func(row int, cell *string) { r.replace(row, name, cell, usualBlend(*cell)) })
	}
}

// replace takes a word for another one, and says so unless they are the same.
func (r *reader) replace(row int, column string, cell *string, word string) {
	if word == "" || strings.EqualFold(*cell, word) {
		return
	}
	r.guess(row, column, readAs(*cell, word))
	*cell = word
}

func readAs(was, is string) message.Line {
	return message.Say("guess.read-as", message.Args{"value": message.Typed(was), "is": message.Text(is)})
}

var usualName = regexp.MustCompile(`(?i)^(?:nitrox|ean|eanx|enriched air|nx)\s*-?\s*([0-9]+(?:[.,][0-9]+)?)\s*%?$`)

func usualBlend(text string) string {
	if meant(text, "air") != "" {
		return "air"
	}
	if m := usualName.FindStringSubmatch(text); m != nil {
		return m[1]
	}
	return ""
}

// names gives a cylinder below a name, in a merged cell's blanks, the diver above.
func (r *reader) names() {
	i := r.column("diver")
	if i < 0 {
		return
	}
	above := ""
	for _, one := range r.sheet.rows {
		switch {
		case one.cells[i] != "":
			above = one.cells[i]
		case above != "" && r.cylinderIn(one):
			one.cells[i] = above
			r.guess(one.number, "diver", message.Say("guess.name", message.Args{"name": message.Name(above)}))
		}
	}
}

// cylinderIn tells whether a row names a cylinder.
func (r *reader) cylinderIn(one sheetRow) bool {
	for j, name := range r.sheet.header {
		if one.cells[j] != "" && (name == "asked" || name == "label" || strings.HasPrefix(name, "asked")) {
			return true
		}
	}
	return false
}

// wide makes a row a cylinder of a row a diver, whose blends for the dives stand
// in columns beside each other.
func (r *reader) wide() {
	var blends []int // column of the blend for dive n+1, -1 for none
	any := false
	for n := range roster.MaxDives {
		i := r.column("asked" + strconv.Itoa(n+1))
		blends, any = append(blends, i), any || i >= 0
	}
	if !any {
		return
	}
	asked, dive := r.column("asked"), r.column("dive")
	if asked < 0 {
		asked = r.addColumn("asked", "asked")
	}
	if dive < 0 {
		dive = r.addColumn("dive", "dive")
	}
	var rows []sheetRow
	for _, one := range r.sheet.rows {
		rows = append(rows, r.spread(one, blends, asked, dive)...)
	}
	r.sheet.rows = rows
	for n, i := range blends {
		if i >= 0 {
			r.sheet.header[i] = ""
			r.sheet.wide = append(r.sheet.wide, heading{text: r.head[i].text, column: strconv.Itoa(n + 1)})
		}
	}
}

func (r *reader) spread(one sheetRow, blends []int, asked, dive int) (rows []sheetRow) {
	for n, i := range blends {
		if i < 0 || one.cells[i] == "" {
			continue
		}
		cells := slices.Clone(one.cells)
		cells[asked], cells[dive] = one.cells[i], strconv.Itoa(n+1)
		if len(rows) > 0 {
			r.blankLabel(cells)
		}
		rows = append(rows, sheetRow{one.number, cells})
	}
	if len(rows) == 0 {
		rows = []sheetRow{one}
	}
	for _, made := range rows {
		for _, i := range blends {
			if i >= 0 {
				made.cells[i] = ""
			}
		}
	}
	return rows
}

// blankLabel: one label is on one cylinder, the first of the row.
func (r *reader) blankLabel(cells []string) {
	if i := r.column("label"); i >= 0 {
		cells[i] = ""
	}
}
