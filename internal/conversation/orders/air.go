package orders

import (
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
)

// ReadAir reads a temperature, in Celsius or marked as Fahrenheit (86F), and a
// relative humidity in percent. From a reader of feet a bare number is
// Fahrenheit where it can be no weather in Celsius, and else is not taken: 40
// could be either.
func ReadAir(args string, fahrenheit bool) (gas.Weather, bool) {
	words := strings.Fields(airSigns.Replace(strings.ToLower(reply.PlainDigits(args))))
	if len(words) != 2 {
		return gas.Weather{}, false
	}
	number := strings.TrimRight(words[0], "fc")
	celsius, ok1 := readNumber(number)
	switch mark := words[0][len(number):]; {
	case mark == "f", mark == "" && fahrenheit && celsius >= hottestCelsius:
		celsius = (celsius - 32) / 1.8
	case mark == "" && fahrenheit, len(mark) > 1:
		return gas.Weather{}, false
	}
	humidity, ok2 := readNumber(words[1])
	w := gas.Weather{Celsius: celsius, Humidity: humidity, Known: true}
	return w, ok1 && ok2 && w.Oxygen(0).Known()
}

// hottestCelsius is warmer than any weather, in degrees Celsius.
const hottestCelsius = 61

// airSigns joins a unit to its number and drops the signs between.
var airSigns = strings.NewReplacer(" °c", "c", " °f", "f", " c", "c", " f", "f", "°", "", "%", " ", "℃", "c", "℉", "f",
	"٪", " ")

// ReadAirPoint reads what an analyser showed with the air that it showed it
// in: "20.4 30C 80%".
func ReadAirPoint(text string, fahrenheit bool) (gas.Percent, gas.Weather, bool) {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	p, number := readNumber(strings.TrimSuffix(first, "%"))
	w, ok := ReadAir(rest, fahrenheit)
	return gas.Percent(p), w, number && ok
}

// readNumber reads digits with a sign and a decimal point or comma, and
// nothing else that a computer would take for a number.
func readNumber(s string) (float64, bool) {
	s = strings.Replace(s, ",", ".", 1)
	if strings.Trim(s, "+-0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// MostPPM is far more carbon monoxide than any meter for diving shows.
const MostPPM = 10000

// ReadCO reads a label and the carbon monoxide measured in its cylinder, in ppm.
func ReadCO(args string) (label string, ppm float64, ok bool) {
	words := strings.Fields(strings.ToLower(args))
	if n := len(words); n > 0 && words[n-1] == "ppm" {
		words = words[:n-1]
	}
	if len(words) < 2 {
		return "", 0, false
	}
	ppm, ok = readNumber(strings.TrimSuffix(words[len(words)-1], "ppm"))
	return strings.Join(words[:len(words)-1], " "), ppm, ok && ppm >= 0 && ppm <= MostPPM
}
