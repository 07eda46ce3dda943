// Package picture draws a message.Picture as PNG, for chats that show photos
// and can't show the drawing of the pages: each cylinder's MOD as a bar
// against lines at the planned depth and at the bottom. Symbols and words say
// how a cylinder fits, colour only supports them.
//
//	message.Picture --sheets.go--> what stands on each sheet
//	                --sheet.go, row.go--> drawn by gonum's plot library, with the embedded fonts
//	                --caption.go--> the words under it
//
// A newcomer finds: sizes in sheets.go, colours in look.go, what the fonts
// can't write in fonts.go.
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

// Draw draws a picture for one reader: on several sheets when it has many
// rows, on none when it has no row. A sheet is Width points wide and at most
// MaxHeight high.
func Draw(words *message.Renderer, p message.Picture, to message.Reader) ([]Sheet, error) {
	if !p.Planned.Known() {
		return nil, errors.New("picture without a planned depth: want one to draw against")
	}
	w := newWriter(words, p, to)
	plans, left := w.split(p)
	var out []Sheet
	for i, plan := range plans {
		s := w.draw(p, plan, i+1, len(plans))
		var b bytes.Buffer
		encoder := png.Encoder{CompressionLevel: png.BestSpeed}
		if err := encoder.Encode(&b, s); err != nil {
			return nil, err
		}
		rest := 0
		if i == len(plans)-1 {
			rest = left
		}
		out = append(out, Sheet{PNG: b.Bytes(), Caption: w.caption(p, plan, i+1, len(plans), rest)})
	}
	return out, nil
}
