package orders

import "testing"

func TestDivesInTheLeadersWords(t *testing.T) {
	for _, c := range []struct{ tag, typed, want string }{
		{"en", "dive 2 20m", "dive 2 20m"},
		{"en", "all dives 20m", "all 20m"},
		{"es", "inmersión 2 20 m", "dive 2 20 m"},
		{"es", "Inmersion 2, corriente", "dive 2 corriente"},
		{"es", "dive 2", "dive 2"},
		{"es", "todas las inmersiones 20 m", "all 20 m"},
		{"es", "todas 20 m", "all 20 m"},
		{"es", "todasiones 20 m", "todasiones 20 m"},
		{"es", "20 m en todas", "20 m en todas"},
		{"fr", "plongée 2 : fatigue", "dive 2 fatigue"},
		{"fr", "toutes les plongées 20 m", "all 20 m"},
		{"de", "tauchgang 2 20m", "dive 2 20m"},
		{"de", "alle Tauchgänge 20m", "all 20m"},
		{"de", "Tauchgang zwei", "Tauchgang zwei"},
		{"it", "immersione 2", "dive 2"},
		{"pt", "mergulho 2 20 m", "dive 2 20 m"},
		{"nl", "duik 2", "dive 2"},
		{"ja", "ダイブ２ 20メートル", "dive 2 20メートル"},
		{"ja", "2本目、流れ", "dive 2 流れ"},
		{"ja", "全ダイブ20メートル", "all 20メートル"},
		{"zh", "第2潜20米", "dive 2 20米"},
		{"zh", "全部20米", "all 20米"},
		{"ar", "الغوصة ٢ 20 متر", "dive 2 20 متر"},
		{"ar", "كل الغوصات 20 متر", "all 20 متر"},
	} {
		t.Run(c.tag+" "+c.typed, func(t *testing.T) {
			if got := ForDives(c.typed, c.tag, diveWords...); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
