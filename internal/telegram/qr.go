package telegram

import (
	"context"
	"log/slog"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/message"
	"gasmuster/internal/picture"
)

// sendCode sends a message's link as a QR code after the text, which has the link
// too: whatever becomes of the picture, the message counts as sent.
func (c *Channel) sendCode(ctx context.Context, log *slog.Logger, to chat, link message.Value) {
	if link.Kind != message.KindCode || link.S == "" {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, pictureTime)
	defer cancel()
	png, err := picture.QR(link.S)
	if err == nil {
		err = c.sendPhoto(ctx, to, "code.png", picture.Sheet{PNG: png, Caption: link.S})
	}
	if err != nil {
		log.Warn("QR code not sent; its link was", "error", err)
	}
}

// forwardPhoto shows a photo that somebody sent, by the server's id of it. The text
// says what it is of: whatever becomes of the photo, the message counts as sent.
func (c *Channel) forwardPhoto(ctx context.Context, log *slog.Logger, to chat, id string) {
	if id == "" {
		return
	}
	if err := c.sendTo(ctx, to, "sendPhoto", tgbotapi.Params{"photo": id}); err != nil {
		log.Warn("photo not passed on; its text was", "error", err)
	}
}
