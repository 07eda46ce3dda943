package reply

import "testing"

func TestLabelOf(t *testing.T) {
	for text, want := range map[string]string{
		"en 17": "17", "en 17.": "17", "en (17)": "17", "en cylinder 17": "17", "en tank 17": "17", "en No.17": "17",
		"en number 17": "17", "en seventeen": "17", "en it's the 17": "17", "en cylinder seventeen": "17", "en B7": "B7",
		"en cylinder B7": "B7", "en b 7": "b 7", "en blue": "blue", "en 🐟": "🐟", "en Ada 3": "Ada 3",
		"de Nr. 17": "17", "de Flasche 17": "17", "de siebzehn": "17", "de Flasche siebzehn": "17",
		"fr n° 17": "17", "fr dix-sept": "17", "fr bouteille 17": "17", "es botella 17": "17", "es diecisiete": "17",
		"it bombola 17": "17", "it diciassette": "17", "pt garrafa 17": "17", "pt dezessete": "17",
		"nl fles 17": "17", "nl zeventien": "17", "zh 17号": "17", "zh 十七": "17", "zh 气瓶17": "17",
		"ja 17番": "17", "ja １７": "17", "ja 十七": "17", "ar ١٧": "17", "ar رقم ١٧": "17", "ar ۱۷": "17",
	} {
		if got := LabelOf(text[3:], Context{Language: text[:2]}); got != want {
			t.Errorf("%s: %q gives %q, want %q", text[:2], text[3:], got, want)
		}
	}
}
