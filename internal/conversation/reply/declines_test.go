package reply

import "testing"

// Words that were asked for as a reason, in every language: a no and a hold are
// none, what is wrong with somebody is one.
func TestDeclined(t *testing.T) {
	for language, said := range map[string]map[string]Declining{
		"en": {"no": Declines, "no, he is fine": Declines, "wait": Declines, "hang on, wrong one": Declines,
			"cancel": Declines, "never mind": Declines, "I meant Marit": Declines, "no fins": MayDecline,
			"wrong diver": MayDecline, "wrong name": MayDecline, "rebreather": NoDecline, "cold": NoDecline,
			"ears hurt since yesterday": NoDecline},
		"de": {"nein": Declines, "nein er ist fit": Declines, "warte mal": Declines, "abbrechen": Declines,
			"ich meinte Marit": Declines, "falscher Name": MayDecline, "Kreislaufgerät": NoDecline},
		"nl": {"verkeerde naam": MayDecline,
			"nee": Declines, "nee, hij is in orde": Declines, "wacht even": Declines, "stop": Declines,
			"rebreather": NoDecline},
		"fr": {"mauvais nom": MayDecline,
			"non": Declines, "non, il va bien": Declines, "attends": Declines, "laisse tomber": Declines,
			"recycleur": NoDecline},
		"es": {"nombre equivocado": MayDecline,
			"no": Declines, "no, está bien": Declines, "espera": Declines, "cancelar": Declines,
			"no tiene aletas": MayDecline, "mal de oído": MayDecline, "resfriado": NoDecline},
		"it": {"nome sbagliato": MayDecline,
			"no": Declines, "no, sta bene": Declines, "aspetta": Declines, "lascia perdere": Declines,
			"raffreddato": NoDecline},
		"pt": {"nome errado": MayDecline,
			"não": Declines, "não, ele está bem": Declines, "espera": Declines, "cancelar": Declines,
			"constipado": NoDecline},
		"zh": {"名字错了": MayDecline, "不": Declines, "不，他没事": Declines, "等等": Declines, "取消": Declines, "感冒": NoDecline},
		"ja": {"名前が違います": MayDecline,
			"いいえ": Declines, "いや、大丈夫": Declines, "待って": Declines, "キャンセル": Declines, "風邪": NoDecline},
		"ar": {"الاسم غلط": MayDecline,
			"لا": Declines, "لا، هو بخير": Declines, "انتظر": Declines, "انس الأمر": Declines, "زكام": NoDecline},
	} {
		for text, want := range said {
			if got := Declined(text, Context{Language: language}); got != want {
				t.Errorf("%s: %q: got %d, want %d", language, text, got, want)
			}
		}
	}
}
