package telegram

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/message"
	"gasmuster/internal/picture"
	"gasmuster/internal/roster"
)

// A picture goes out after the text, which says the same without it. Whatever
// becomes of the picture, the message counts as sent: nobody waits for a
// photo, and no text is sent twice because of one.

const (
	pictureTime = 10 * time.Second // for drawing and sending all sheets
	pictureWait = 4 * time.Second  // when the server wants a longer one, the rest is left out
)

// sendPicture draws a message's picture and sends its sheets as photos.
func (c *Channel) sendPicture(ctx context.Context, log *slog.Logger, to chat, e roster.Envelope, p *message.Picture) {
	if p == nil {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, c.drawing)
	defer cancel()
	sheets, err := c.drawn(*p, message.Reader{Language: e.Language, Units: e.Units})
	if err != nil {
		log.Error("picture not drawn; its text was sent", "error", err)
		return
	}
	for i, s := range sheets {
		if err := c.sendPhoto(ctx, to, fmt.Sprintf("chart-%d.png", i+1), s); err != nil {
			log.Warn("Telegram did not take a picture; its text was sent", "error", err, "sheet", i+1, "sheets", len(sheets))
			return
		}
	}
}

// drawn never panics: a fault in drawing must not keep anything from being said.
func (c *Channel) drawn(p message.Picture, to message.Reader) (sheets []picture.Sheet, err error) {
	defer func() {
		if v := recover(); v != nil {
			sheets, err = nil, fmt.Errorf("drawing panicked: %T", v)
		}
	}()
	return picture.Draw(c.render, p, to)
}

// sendPhoto sends one sheet, a second time when the server asks for a short wait.
func (c *Channel) sendPhoto(ctx context.Context, to chat, name string, s picture.Sheet) error {
	upload := tgbotapi.RequestFile{Name: "photo", Data: tgbotapi.FileBytes{Name: name, Bytes: s.PNG}}
	send := func() error {
		return c.sendTo(ctx, to, "sendPhoto", tgbotapi.Params{"caption": s.Caption}, upload)
	}
	err := send()
	var f *fault
	if !errors.As(err, &f) || (f.code != 429 && f.status != 429) || f.retryAfter > pictureWait {
		return err
	}
	if !c.pause(ctx, max(f.retryAfter, time.Second)) {
		return err
	}
	return send()
}
