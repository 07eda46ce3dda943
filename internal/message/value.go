package message

import (
	"math"
	"regexp"
	"strings"

	"golang.org/x/text/number"

	"gasmuster/internal/gas"
)

// lastDigit is the arithmetic's dust that rounding up or down must not see:
// 1.4000000000000001 atm is 1.40, 32 minutes less 1e-12 are 32.
const lastDigit = 1e-7

// value writes one value as its kind says. Among words that run from right to
// left it keeps its own direction.
func (w writer) value(v Value) string {
	text := w.plain(v)
	switch v.Kind {
	case kindPart, KindList, KindLine:
		return text
	case KindCode:
		if strings.HasPrefix(v.S, "http") {
			return text // a mark beside an address may be taken for a part of it
		}
	}
	if w.rtl {
		return isolated(text)
	}
	return text
}

func (w writer) plain(v Value) string {
	switch v.Kind {
	case kindPart:
		return v.S
	case KindName:
		return cleanName(v.S)
	case KindText:
		return cleaned(v.S, longestText)
	case KindCode:
		return v.S
	case KindCount:
		return w.decimal(v.N, 0, 0)
	case KindPercent, KindBlend:
		return w.percent(v)
	case KindPoints:
		return w.decimal(v.N, 1, 2)
	case KindLimit, KindPlanned, KindBottom:
		return w.depth(v)
	case KindMinutes:
		return w.word("unit.minutes", "n", w.decimal(v.N, 0, 0))
	case KindPPO2:
		return w.decimal(math.Ceil(v.N*100-lastDigit)/100, 2, 2)
	case KindCelsius:
		return w.temperature(v.N)
	case KindClock, KindDay, KindDate, KindMoment:
		return w.time(v)
	case KindList:
		return w.list(v.rare().L)
	case KindLine:
		if l := v.rare().Line; l != nil {
			return w.line(*l)
		}
	}
	return "⟦" + v.Kind.String() + "⟧"
}

// decimal writes n with at least min and at most max decimals, with the
// language's decimal sign; never thousands separators, which a
// reader could take for a decimal point.
func (w writer) decimal(n float64, min, max int) string {
	return w.numbers.Sprint(number.Decimal(n, number.NoSeparator(),
		number.MinFractionDigits(min), number.MaxFractionDigits(max)))
}

func (w writer) percent(v Value) string {
	if v.Kind == KindPercent {
		return w.word("unit.percent", "n", w.decimal(v.N, 1, 2))
	}
	if gas.Percent(v.N) == gas.Air {
		return w.word("unit.air")
	}
	return w.word("unit.percent", "n", w.decimal(v.N, 0, 2))
}

// temperature is to one decimal; whoever reads feet reads Fahrenheit.
func (w writer) temperature(celsius float64) string {
	unit, n := "celsius", celsius
	if w.to.Units == "ft" {
		unit, n = "fahrenheit", celsius*1.8+32
	}
	return w.word("unit."+unit, "n", w.decimal(math.Round(n*10)/10, 0, 1))
}

func (w writer) list(vs []Value) string {
	if len(vs) == 0 {
		return w.word("list.none")
	}
	parts := make([]string, len(vs))
	key := "list.more"
	for i, v := range vs {
		if parts[i] = w.value(v); decimalComma.MatchString(parts[i]) {
			key = "list.more.decimals" // 32,1, 36,0 would be hard to tell apart
		}
	}
	text := parts[len(parts)-1]
	for i := len(vs) - 2; i >= 0; i-- {
		if i == len(vs)-2 {
			text = w.word("list.last", "a", parts[i], "b", text)
		} else {
			text = w.word(key, "a", parts[i], "b", text)
		}
	}
	return text
}

var decimalComma = regexp.MustCompile(`\d,\d`)
