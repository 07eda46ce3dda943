package reply

import "gasmuster/internal/gas"

// Parse understands text. It never fails: what it can't understand is in
// Result.Unclear, and a Result always says something.
func Parse(text string, ctx Context) Result { panic("todo") }

// Depth reads a depth as people type it: "30", "30m", "33,5 m", "110 feet". A
// number without a unit is in unit. The error names the accepted forms.
func Depth(text string, unit gas.Unit) (gas.Depth, error) { panic("todo") }

// Percent reads one percentage from 5 to 100: "32.4", "31,8 %". The error
// names the accepted forms.
func Percent(text string) (gas.Percent, error) { panic("todo") }

// Minutes reads a time in minutes: "40", "40 min". The error names the
// accepted forms.
func Minutes(text string) (float64, error) { panic("todo") }
