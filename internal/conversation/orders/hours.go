package orders

import (
	"regexp"
	"strconv"
	"strings"
)

// hoursForm is hours as people type them in any of the languages, with minutes behind
// them or without: "3 hours", "1.5 h", "2h30".
var hoursForm = regexp.MustCompile(`(?i)^(\d{1,2}(?:[.,]\d)?) ?` +
	`(?:(h|uur)|hrs?|hours?|std\.?|stunden?|uren|heures?|or[ae]|horas?|小时|小時|時間|ساعة|ساعات)` +
	`(?: ?(\d{1,2})(?: ?(?:min\w*|分钟?|分|دقيقة))?)?$`)

// mostClockLike is up to how many "h" are hours: "after 10h" is a time of day.
const mostClockLike = 5

// TakeHours takes a span of hours off the front of words, in minutes, and tells how many
// words it took; 0 where none stands there.
func TakeHours(words []string) (minutes float64, n int) {
	for n := min(4, len(words)); n > 0; n-- {
		m := hoursForm.FindStringSubmatch(strings.Join(words[:n], " "))
		if m == nil {
			continue
		}
		hours, _ := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
		if m[2] != "" && hours > mostClockLike {
			return 0, 0
		}
		more, _ := strconv.ParseFloat("0"+m[3], 64)
		return hours*60 + more, n
	}
	return 0, 0
}
