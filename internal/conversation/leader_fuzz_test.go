package conversation

import (
	"strings"
	"testing"
	"unicode"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

var leaderSeeds = []string{
	"", " ", "Tomasz", "Tomasz 17 32.4 boat A", "ana 18 32.4", "Kenji 32", "Tomasz 17 EAN32", "Tomasz 17 210 bar", "on A",
	"boat dock",
	"Cathedral Reef 28m bottom 40 m because swell", "1 28m 40 min", "dive 2 no bottom", "bottom", "bottom bottom bottom",
	"28 m 30 m",
	"٢٨ m", "２８m", "\u202e28m", "28\u00a0m", "1e9 m", "99999999999999999999 m", "-1m", "0m", "NaN m", "Inf ft", "because",
	"becauſe x",
	"İstanbul because İİİ 20m", "🙂🙂🙂", "<b>x</b>", "\x00", "\xff\xfe", strings.Repeat("9", 4096),
	strings.Repeat("Ana ", 1000), "team 1 20m x", "team",
}

// Whatever a leader types after a command, and to the question that follows,
// is answered, and a reading is stored only when its number was typed.
func FuzzLeaderCommands(f *testing.F) {
	for i, s := range leaderSeeds {
		f.Add(uint8(i), s, leaderSeeds[(i*7+3)%len(leaderSeeds)])
	}
	commands := append([]string{}, leaderHelp...)
	f.Fuzz(func(t *testing.T, which uint8, first, second string) {
		d := newDesk(t)
		command := commands[int(which)%len(commands)]
		for _, text := range []string{"/" + command + " " + first, second} {
			if got := d.types(text); strings.TrimSpace(got) == "" {
				t.Fatalf("%q was not answered", text)
			}
			for _, l := range d.last.Letters {
				checkLetter(t, l)
			}
		}
		for _, p := range d.trip.People {
			for _, c := range p.Cylinders {
				for _, r := range c.Readings {
					if r.Percent < 5 || r.Percent > 100 || !mentions(first+" "+second, r.Percent) {
						t.Errorf("/%s %q, %q stored %v", command, first, second, r.Percent)
					}
				}
			}
		}
	})
}

func checkLetter(t *testing.T, l Letter) {
	t.Helper()
	for _, row := range l.Message.Buttons {
		for _, b := range row {
			if len(b.Do) > 48 || b.Do == "" {
				t.Errorf("button %q", b.Do)
			}
			if label := renderer.Line(b.Label, message.Reader{}); strings.Contains(label, "⟦") || label == "" {
				t.Errorf("button label %q", label)
			}
		}
	}
}

// mentions tells whether the whole part of a value was typed.
func mentions(text string, p gas.Percent) bool {
	var digits strings.Builder
	for _, r := range text {
		if v := digitValue(r); v >= 0 {
			digits.WriteByte(byte('0' + v))
		} else {
			digits.WriteByte(' ')
		}
	}
	whole := []byte{byte('0' + int(p)/10%10), byte('0' + int(p)%10)}
	if p < 10 {
		whole = whole[1:]
	}
	return p == 100 || strings.Contains(digits.String(), string(whole))
}

// digitValue is the value of a decimal digit of any script, -1 for others.
func digitValue(r rune) int {
	for _, n := range unicode.Nd.R16 {
		if rune(n.Lo) <= r && r <= rune(n.Hi) {
			return int(r-rune(n.Lo)) % 10
		}
	}
	for _, n := range unicode.Nd.R32 {
		if rune(n.Lo) <= r && r <= rune(n.Hi) {
			return int(r-rune(n.Lo)) % 10
		}
	}
	return -1
}
