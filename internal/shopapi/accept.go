package shopapi

import (
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"
)

// wants chooses what to answer with of the media types on offer, the best
// first, by the request's Accept header (RFC 9110, section 12.5.1): the highest
// weight wins, then the order of the offers. It answers itself when it returns
// false.
func (c *call) wants(offers ...string) (string, bool) {
	c.w.Header().Add("Vary", "Accept")
	header := strings.Join(c.Header.Values("Accept"), ",")
	if strings.TrimSpace(header) == "" {
		return offers[0], true
	}
	best, weight := "", 0.0
	for _, offer := range offers {
		if q := weightOf(offer, header); q > weight {
			best, weight = offer, q
		}
	}
	if best == "" {
		refuse(c.w, http.StatusNotAcceptable, "Accept may ask for "+strings.Join(offers, ", ")+".")
		return "", false
	}
	return best, true
}

// weightOf is what the most specific range of a header that takes an offer
// says of it, 0 when none does.
func weightOf(offer, header string) float64 {
	kind, _, _ := strings.Cut(offer, "/")
	weight, specific := 0.0, -1
	for part := range strings.SplitSeq(header, ",") {
		r, params, err := mime.ParseMediaType(part)
		if err != nil {
			continue
		}
		n := slices.Index([]string{"*/*", kind + "/*", offer}, r)
		if n <= specific {
			continue
		}
		q := 1.0
		if given, ok := params["q"]; ok {
			if q, err = strconv.ParseFloat(given, 64); err != nil {
				q = 0
			}
		}
		weight, specific = q, n
	}
	return weight
}
