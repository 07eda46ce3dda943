package reply

import "testing"

// Who says that a cylinder was not analysed denies what was read of it; who puts it off
// does not.
func TestUnmade(t *testing.T) {
	denied := map[string][]string{
		"en": {"I have not analysed it", "not tested yet", "17 not analysed", "i haven't measured it"},
		"de": {"ich hab sie nicht analysiert", "noch nicht gemessen", "17 nicht gemessen"},
		"nl": {"ik heb hem niet geanalyseerd", "nog niet gemeten", "17 niet gemeten"},
		"fr": {"je ne l'ai pas analysé", "pas encore analysé", "la 17 pas analysée"},
		"es": {"no lo he analizado", "no la analicé", "todavía no la he medido"},
		"it": {"non l'ho analizzata", "non ancora misurata", "la 17 non l'ho analizzata"},
		"pt": {"não analisei", "ainda não analisei", "não foi analisada"},
		"zh": {"没测", "我没有分析", "还没测"},
		"ja": {"測ってません", "分析していません", "まだ測っていません"},
		"ar": {"لم أحللها", "ما قستها", "لم أقم بالتحليل"},
	}
	putOff := map[string][]string{
		"en": {"later", "I don't have the analyser yet", "in 5 minutes", "I'll do 17 on the boat"},
		"de": {"später", "noch kein messgerät", "in 5 minuten"},
		"nl": {"later", "nog geen analyser", "over 5 minuten"},
		"fr": {"plus tard", "j'ai pas encore l'analyseur", "dans 5 minutes"},
		"es": {"más tarde", "todavía no tengo el analizador", "en 5 minutos"},
		"it": {"più tardi", "non ho ancora l'analizzatore", "fra 5 minuti"},
		"pt": {"mais tarde", "ainda não tenho o analisador", "daqui a pouco"},
		"zh": {"等一下", "还没有测氧仪", "没时间测"},
		"ja": {"後で", "あとで測ります"},
		"ar": {"لاحقا", "المحلل مشغول"},
	}
	for language := range vocabularies() {
		if len(denied[language]) < 3 || len(putOff[language]) < 2 {
			t.Errorf("%s: %d phrases that deny, %d that put off", language, len(denied[language]),
				len(putOff[language]))
		}
		for _, text := range denied[language] {
			if r := Parse(text, freshContext(language)); !r.Unmade || len(r.Readings) > 0 || len(r.Unclear) > 0 {
				t.Errorf("%s: Parse(%q) = %s, want an analysis denied", language, text, describe(r))
			}
		}
		for _, text := range putOff[language] {
			if r := Parse(text, freshContext(language)); r.Unmade || r.Intent != NotYet && len(r.Later) == 0 {
				t.Errorf("%s: Parse(%q) = %s, want it put off", language, text, describe(r))
			}
		}
	}
}

// Who does not want to dive is asked whether they sit out.
func TestWantsNotToDive(t *testing.T) {
	for language, text := range map[string]string{"en": "I don't want to dive", "de": "ich will heute nicht tauchen",
		"nl": "ik wil niet duiken", "fr": "je veux pas plonger", "es": "no quiero bucear", "it": "non voglio immergermi",
		"pt": "não quero mergulhar", "zh": "我不想潜水", "ja": "潜りたくないです", "ar": "لا أريد الغوص"} {
		if r := Parse(text, freshContext(language)); r.Intent != NotDiving || len(r.Unclear) > 0 {
			t.Errorf("%s: Parse(%q) = %s, want not diving", language, text, describe(r))
		}
	}
}
