package orders

import (
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// A leader may type a command's words in their own language; what is named in
// the catalogue's usage is what is understood.
func TestKeywordsOfCommands(t *testing.T) {
	for _, c := range []struct{ tag, typed, want string }{
		{"en", "Grund 40m", "Grund 40m"},
		{"es", "Anvil Ledge 30 metros fondo 36 metros porque hay fondo", "Anvil Ledge 30 m bottom 36 m because hay fondo"},
		{"es", "28m sin fondo", "28m no bottom"},
		{"es", "28metros", "28m"},
		{"fr", "28 mètres, fond inconnu", "28 m bottom unknown"},
		{"fr", "équipe 1 20m car il y a du courant", "team 1 20m because il y a du courant"},
		{"de", "kein Grund 40 Minuten", "no bottom 40 min"},
		{"de", "28m Grund 34m weil Strömung", "28m bottom 34m because Strömung"},
		{"it", "squadra 1 togli", "team 1 off"},
		{"pt", "17 32,4 cais", "17 32,4 dock"},
		{"nl", "geen bodem", "no bottom"},
		{"ja", "２８メートル水底３４メートル", "28 m bottom 34 m"},
		{"ja", "水底なし 理由 流れ", "no bottom because 流れ"},
		{"zh", "28米水底34米因为有流", "28 m bottom 34 m because 有流"},
		{"zh", "无水底", "no bottom"},
		{"ar", "٢٨ متر القاع ٣٤ متر", "28 m bottom 34 m"},
		{"ar", "بلا قاع", "no bottom"},
	} {
		t.Run(c.tag+" "+c.typed, func(t *testing.T) {
			if got := English(c.typed, c.tag); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// Every language has every keyword, and reads a depth with its own unit.
func TestKeywordsAreWhole(t *testing.T) {
	for _, tag := range message.Languages() {
		if tag == "en" {
			continue
		}
		have := map[string]string{}
		for _, k := range keywords()[tag] {
			have[k.english] = strings.Join(k.words, " ")
		}
		for _, k := range keywords()["es"] {
			if have[k.english] == "" {
				t.Errorf("%s has no word for %q", tag, k.english)
			}
		}
		for unit, want := range map[string]gas.Unit{"m": gas.Metres, "ft": gas.Feet} {
			d, _, ok := TakeDepth(strings.Fields(English("30 "+have[unit], tag)), gas.Metres)
			if !ok || d.Unit != want || d.Value != 30 {
				t.Errorf("%s: 30 %s is read as %v", tag, have[unit], d)
			}
		}
	}
}
