package orders

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/conversation/when"
	"gasmuster/internal/message"
)

// spanForm is how much later somebody may type: "30 min", "+30".
var spanForm = regexp.MustCompile(`(?i)^(?:\+ ?(\d{1,3})(?: ?min\w*)?|(\d{1,3}) ?(?:min\w*|分钟?|分|دقيقة))$`)

// Span is how much later the departure is to be, where that is certain.
func Span(typed string) (time.Duration, bool) {
	m := spanForm.FindStringSubmatch(reply.PlainDigits(strings.TrimSpace(typed)))
	if m == nil {
		return 0, false
	}
	minutes, _ := strconv.Atoi(m[1] + m[2])
	return time.Duration(minutes) * time.Minute, minutes > 0 && minutes <= MostLater
}

// MostLater is how many minutes a trip is put off by a span; beyond that a day is said.
const MostLater = 240

// TakeTime takes a time of day like 7:40 out of the words behind the first; the zero
// time where there is none.
func TakeTime(words []string, now time.Time) (time.Time, []string) {
	for i := 1; i < len(words); i++ {
		said, rest := when.Read(words[i:i+1], "en", now)
		if said.Clock < 0 || len(rest) > 0 || !said.Day.IsZero() || !strings.Contains(words[i], ":") {
			continue
		}
		return nearest(said.Clock, now), append(append([]string{}, words[:i]...), words[i+1:]...)
	}
	return time.Time{}, words
}

// TakeClock takes a time of day, in a language, off the front of words: the moment
// nearest to now, in the zone of now; the zero time where there is none.
func TakeClock(words []string, language string, now time.Time) (time.Time, []string) {
	said, rest := when.Read(words, message.Match(language), now)
	if said.Clock < 0 {
		return time.Time{}, words
	}
	if said.Day.IsZero() {
		return nearest(said.Clock, now), rest
	}
	return said.At(), rest
}

// nearest is the moment nearest to now at which it is so late, in the zone of now, of
// today or yesterday: just after midnight "23:40" was the evening before.
func nearest(clock time.Duration, now time.Time) time.Time {
	said := when.Said{Day: time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location()), Clock: clock}
	if said.At().Sub(now) > 12*time.Hour {
		said.Day = said.Day.AddDate(0, 0, -1)
	}
	return said.At()
}
