package gas

import "math"

// dryAir is the oxygen of dry air, percent. Source: US Standard Atmosphere.
const dryAir = 20.945

// Weather is that of the place where an analyser was calibrated.
type Weather struct {
	Celsius  float64 `json:"celsius"`
	Humidity float64 `json:"humidity"` // relative, percent
	Known    bool    `json:"known"`
}

// valid tells whether the weather is known and can be.
func (w Weather) valid() bool {
	return w.Known && w.Celsius >= -40 && w.Celsius <= 60 && w.Humidity >= 0 && w.Humidity <= 100
}

// Oxygen is the true oxygen of air in percent: water vapour takes the place of
// the rest. 0 when the weather is not known. Source: gas law; saturation
// pressure of water by the Magnus form of the WMO (Guide to Instruments and
// Methods of Observation, WMO-No. 8).
func (w Weather) Oxygen(altitude float64) Percent {
	if !w.valid() || !(Place{Altitude: altitude}).Valid() {
		return 0
	}
	pressure := AirPressure(altitude) * 1000 // hPa
	saturation := 6.112 * math.Exp(17.62*w.Celsius/(243.12+w.Celsius))
	return Percent(dryAir * (pressure - w.Humidity/100*saturation) / pressure)
}
