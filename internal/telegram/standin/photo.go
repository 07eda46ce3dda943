package standin

import (
	"bytes"
	"fmt"
	"image"
	_ "image/gif"  // a format that photos may have
	_ "image/jpeg" // a format that photos may have
	_ "image/png"  // a format that photos may have
	"strings"
)

// Limits of a photo, as documented: 10 MB, both sides together 10000, one side
// at most 20 times the other.
const (
	maxPhoto = 10 << 20
	maxSides = 10000
	maxRatio = 20
)

// Photo is an uploaded photo.
type Photo struct {
	Width, Height int
	Format        string // "png", "jpeg" or "gif"
	Data          []byte
}

func (p *Photo) wire() map[string]any {
	id := fmt.Sprintf("photo-%dx%d-%d", p.Width, p.Height, len(p.Data))
	return map[string]any{"file_id": id, "file_unique_id": id, "width": p.Width, "height": p.Height,
		"file_size": len(p.Data)}
}

// SentPhoto begins the id of a photo that a person sent here: it can be sent again by
// its id, and nobody here looks at it.
const SentPhoto = "sent-photo-"

// sendPhoto takes uploads, and the ids of photos that people sent.
func (s *Server) sendPhoto(c *call) (any, *refusal) {
	to, m, no := s.addressed(c, "caption", maxCaption)
	if no != nil {
		return nil, no
	}
	if id := c.params["photo"]; strings.HasPrefix(id, SentPhoto) {
		m.Photo = &Photo{Format: id}
		return s.post(to, m)
	}
	upload, ok := c.files["photo"]
	if !ok {
		return nil, refuse(400, "wrong remote file identifier specified: Wrong character in the string")
	}
	m.File = upload.name
	if m.Photo, no = readPhoto(upload.data); no != nil {
		return nil, no
	}
	return s.post(to, m)
}

func readPhoto(data []byte) (*Photo, *refusal) {
	switch {
	case len(data) == 0:
		return nil, refuse(400, "file must be non-empty")
	case len(data) > maxPhoto:
		return nil, refuse(400, "file is too big for a photo; the maximum size is %d bytes", maxPhoto)
	}
	img, format, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, refuse(400, "IMAGE_PROCESS_FAILED")
	}
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	if w+h > maxSides || w > h*maxRatio || h > w*maxRatio {
		return nil, refuse(400, "PHOTO_INVALID_DIMENSIONS")
	}
	return &Photo{Width: w, Height: h, Format: format, Data: data}, nil
}
