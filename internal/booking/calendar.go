package booking

import (
	"bytes"
	"strings"
	"time"
	"unicode/utf8"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// TypeICS is the media type of a calendar (RFC 5545).
const TypeICS = "text/calendar; charset=utf-8"

// Calendar is trips as a file for a calendar (RFC 5545), without names of divers:
// calendars are shared.
func Calendar(trips []*roster.Trip, host string, now time.Time, say Words) []byte {
	var b bytes.Buffer
	line := func(name, value string) { fold(&b, name+":"+value) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//gasmuster//EN")
	for _, t := range trips {
		line("BEGIN", "VEVENT")
		line("UID", string(t.ID)+"@"+strings.TrimPrefix(strings.TrimPrefix(host, "https://"), "http://"))
		line("DTSTAMP", icsTime(now))
		line("DTSTART", icsTime(t.Departs))
		line("DTEND", icsTime(t.Ends(len(t.Dives))))
		line("SUMMARY", icsText(t.Name))
		var plan []string
		for i, d := range t.Dives {
			plan = append(plan, say(message.Say("desk.dive",
				message.Args{"dive": message.Count(i + 1), "site": message.Name(d.Site),
					"depth": message.Planned(d.Depth), "minutes": message.Minutes(d.Minutes)})))
		}
		line("DESCRIPTION", icsText(strings.Join(plan, "\n")))
		line("LOCATION", icsText(t.Dives[0].Site))
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	return b.Bytes()
}

func icsTime(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

var icsEscape = strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\n", "\\n")

func icsText(s string) string { return icsEscape.Replace(s) }

// fold ends a line with CRLF and breaks it where it has 75 bytes, never within a
// character (RFC 5545, 3.1).
func fold(b *bytes.Buffer, s string) {
	room := 75
	for len(s) > room {
		n := room
		for !utf8.RuneStart(s[n]) {
			n--
		}
		b.WriteString(s[:n] + "\r\n ")
		s, room = s[n:], 74
	}
	b.WriteString(s + "\r\n")
}
