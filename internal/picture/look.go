package picture

import (
	"image/color"

	"gasmuster/internal/message"
)

// look is the colours of a photo: those of the pages, by day and by night.
type look struct {
	card, ink, soft, act, alarm color.Color
}

func rgb(hex uint32) color.Color {
	return color.NRGBA{R: uint8(hex >> 16 & 0xff), G: uint8(hex >> 8 & 0xff), B: uint8(hex & 0xff), A: 0xff}
}

var (
	day   = look{card: rgb(0xffffff), ink: rgb(0x14181c), soft: rgb(0x4c555d), act: rgb(0x0b5c73), alarm: rgb(0x7d1320)}
	night = look{card: rgb(0x1b232b), ink: rgb(0xf2efe8), soft: rgb(0xb4bcc3), act: rgb(0x8fd3e5), alarm: rgb(0xffb4bb)}
)

func lookOf(p message.Picture) look {
	if p.Dark {
		return night
	}
	return day
}
