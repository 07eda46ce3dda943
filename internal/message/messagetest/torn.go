package messagetest

import "regexp"

// torn are places at which a line could be broken and should not be: between a
// value and its unit, between a verdict's symbol and its word, within NO-GO.
var torn = regexp.MustCompile(`\d (%|(m|ft|min|ppm|bar)([^\p{Latin}]|$))|[✅⛔❓] |NO-GO|MAX \d`)

// Torn is the first place of a text, as a channel shows it, at which a line could be
// broken and should not be; "" for none.
func Torn(text string) string { return torn.FindString(text) }
