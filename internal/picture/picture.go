// Package picture draws a message.Picture: depth downwards, a column for each
// cylinder that ends at its diver's max, plan and bottom as lines across. The
// pages show the same shapes that are drawn as PNG here, for chats that show
// photos. Signs and shapes say how a cylinder fits, colour only supports them.
//
//	message.Picture --layout.go--> Drawing: shapes and words --png.go--> pixels
//	                                                         --> a page's template
//	                --caption.go--> the words under a photo
//
// A newcomer finds: sizes in layout.go, colours in look.go.
package picture

import (
	"bytes"
	"errors"
	"image/png"

	"gasmuster/internal/message"
)

// Sheet is one drawing with the words that stand under it.
type Sheet struct {
	PNG     []byte
	Caption string // plain, at most MaxCaption UTF-16 units
}

// maxSheets bounds how many photos one board makes; the rows that are left out
// are the last ones, which need the least.
const maxSheets = 6

// Draw draws a picture for one reader: on several sheets when it has many
// rows, on none when it has no row.
func Draw(words *message.Renderer, p message.Picture, to message.Reader) ([]Sheet, error) {
	if !p.Planned.Known() {
		return nil, errors.New("picture without a planned depth: want one to draw against")
	}
	drawings := Lay(words, p, to, true)
	shown := min(len(drawings), maxSheets)
	var out []Sheet
	for i, d := range drawings[:shown] {
		var b bytes.Buffer
		encoder := png.Encoder{CompressionLevel: png.BestSpeed}
		if err := encoder.Encode(&b, d.image(lookOf(p))); err != nil {
			return nil, err
		}
		out = append(out, Sheet{PNG: b.Bytes(), Caption: caption(words, p, to, i+1, len(drawings), shown)})
	}
	return out, nil
}
