package papers

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// quiet is the empty border that a QR code needs (ISO/IEC 18004), in modules.
const quiet = 4

// QRPNG is a link as a QR code, 8 pixels a module.
func QRPNG(link string) ([]byte, error) {
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return nil, err
	}
	return code.PNG(), nil
}

// QRSVG is a link as a QR code of any size.
func QRSVG(link string) ([]byte, error) {
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return nil, err
	}
	var path strings.Builder
	eachBar(code, func(x, y, width int) { fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, width, width) })
	side := code.Size + 2*quiet
	return fmt.Appendf(nil,
		`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" shape-rendering="crispEdges" role="img">`+
			`<rect width="100%%" height="100%%" fill="#fff"/><path fill="#000" d="%s"/></svg>`+"\n", side, side, side*8, side*8,
		path.String()), nil
}

// eachBar calls draw with each run of black modules.
func eachBar(code *qr.Code, draw func(x, y, width int)) {
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > from {
				draw(from, y, x-from)
			}
		}
	}
}

// qr draws a code with its quiet border into a square.
func (s *sheet) qr(link string, x, y, side float64) error {
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return err
	}
	module := side / float64(code.Size+2*quiet)
	s.SetFillColor(0, 0, 0)
	eachBar(code, func(cx, cy, width int) {
		s.Rect(x+float64(cx+quiet)*module, y+float64(cy+quiet)*module, float64(width)*module, module, "F")
	})
	return nil
}
