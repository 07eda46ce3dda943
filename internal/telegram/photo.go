package telegram

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/picture"
	"gasmuster/internal/roster"
)

// A picture goes out after the text, which says the same without it. No text is
// sent twice because of one: what had arrived is remembered, and a later attempt
// sends the rest.

const (
	pictureTime   = 10 * time.Second // for drawing and sending all sheets
	pictureWait   = 4 * time.Second  // when the server wants a longer one, it is an attempt of its own
	picturesTried = 4                // attempts before the reader is told that there is no picture
)

// sendPicture draws a message's picture and sends its sheets as photos; done of
// the message's texts and sheets have arrived before. What becomes of a failure
// is the outcome; a picture never makes a message undeliverable.
func (c *Channel) sendPicture(ctx context.Context, log *slog.Logger, to chat, e roster.Envelope, p message.Picture,
	texts int) delivery.Outcome {
	ctx, cancel := context.WithTimeout(ctx, c.drawing)
	defer cancel()
	sheets, err := c.drawn(p, message.Reader{Language: e.Language, Units: e.Units})
	if err != nil {
		log.Error("picture not drawn; its text was sent", "error", err)
		return c.withoutPicture(ctx, to, e)
	}
	for i := max(0, c.progress.sent(e.ID)-texts); i < len(sheets); i++ {
		c.progress.note(e.ID, texts+i)
		err := c.sendPhoto(ctx, to, fmt.Sprintf("chart-%d.png", i+1), sheets[i])
		if err == nil {
			continue
		}
		log.Warn("Telegram did not take a picture; its text was sent", "error", err, "sheet", i+1, "sheets", len(sheets))
		if out := c.judge(to, err); out.Result != delivery.Never && e.Attempts < picturesTried {
			return delivery.Outcome{Result: delivery.Failed, After: out.After}
		}
		return c.withoutPicture(ctx, to, e)
	}
	return delivery.Outcome{Result: delivery.Sent}
}

// withoutPicture tells the reader that there will be none.
func (c *Channel) withoutPicture(ctx context.Context, to chat, e roster.Envelope) delivery.Outcome {
	m := message.Message{Lines: []message.Line{{Key: "channel.picture-missing", Style: message.Quiet}}}
	text := c.render.Text(m, message.Reader{Language: e.Language, Units: e.Units}, message.HTML)
	if err := c.sendPart(ctx, to, text, nil); err != nil {
		c.log.Warn("nobody told that a picture is missing", "envelope", e.ID, "error", err)
	}
	return delivery.Outcome{Result: delivery.Sent}
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
