package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"html"
	"strconv"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Channel is this channel's name in addresses.
func (c *Channel) Channel() string { return channelName }

// noPreview keeps links from growing into pictures.
const noPreview = `{"is_disabled":true}`

// Send renders one message and sends it, in several parts when it is long; the
// buttons are on the last; a picture follows. See judge for what becomes of
// failures.
func (c *Channel) Send(ctx context.Context, e roster.Envelope) delivery.Outcome {
	log := c.log.With("envelope", e.ID, "trip", e.Trip, "person", e.Person)
	to, ok := parseChat(e.Address)
	if !ok {
		return never(ReasonNoChat)
	}
	var m message.Message
	if err := json.Unmarshal(e.Payload, &m); err != nil {
		log.Error("message can't be read", "error", err)
		return never(ReasonRefused)
	}
	m = c.cfg.Links.Fill(e.Trip, m)
	parts, keys, err := c.write(e, m)
	if err != nil {
		log.Error("message can't be sent", "error", err)
		return never(ReasonRefused)
	}
	for i := c.progress.sent(e.ID); i < len(parts); i++ {
		var markup *tgbotapi.InlineKeyboardMarkup
		if i == len(parts)-1 {
			markup = keys
		}
		if err := c.sendPart(ctx, to, parts[i], markup); err != nil {
			out := c.judge(to, err)
			log.Warn("Telegram did not take a message", "error", err, "result", out.Result, "part", i+1, "parts", len(parts))
			c.complainIfRefused(err)
			return out
		}
		if len(parts) > 1 {
			c.progress.note(e.ID, i+1)
		}
	}
	if m.Picture != nil {
		if out := c.sendPicture(ctx, log, to, e, *m.Picture, len(parts)); out.Result != delivery.Sent {
			return out
		}
	}
	c.sendCode(ctx, log, to, m.Code)
	c.forwardPhoto(ctx, log, to, m.Photo)
	c.offerMenu(to, m.Commands, e.Language)
	return delivery.Outcome{Result: delivery.Sent}
}

// write renders a message into the parts that are sent.
func (c *Channel) write(e roster.Envelope, m message.Message) ([]string, *tgbotapi.InlineKeyboardMarkup, error) {
	reader := message.Reader{Language: e.Language, Units: e.Units}
	keys, links, err := c.keyboard(e.Trip, m.Buttons, reader)
	if err != nil {
		return nil, nil, err
	}
	if e.Unsure && len(m.Lines) > 0 {
		again := message.Line{Key: "channel.repeat", Style: message.Quiet}
		m.Lines = append([]message.Line{again}, m.Lines...)
	}
	text := c.render.Text(m, reader, message.HTML)
	for _, l := range links {
		text += "\n" + html.EscapeString(l)
	}
	parts := split(text, maxUnits)
	if len(parts) == 0 && (keys != nil || m.Commands == "") {
		return nil, nil, errors.New("nothing to read in it")
	}
	return parts, keys, nil
}

// sendPart sends one part; when the server can't read its markup, once more
// without any, for the words matter more than how they look.
func (c *Channel) sendPart(ctx context.Context, to chat, text string, keys *tgbotapi.InlineKeyboardMarkup) error {
	params := tgbotapi.Params{"text": text, "parse_mode": "HTML", "link_preview_options": noPreview}
	if keys != nil {
		params["reply_markup"] = asJSON(keys)
	}
	err := c.sendTo(ctx, to, "sendMessage", params)
	var f *fault
	if !errors.As(err, &f) || f.code != 400 || !f.says("can't parse entities") {
		return err
	}
	c.unparsed.Add(1)
	c.log.Error("markup refused: sent as plain text; this is a bug", "chat", to.hash())
	delete(params, "parse_mode")
	params["text"] = plain(text)
	return c.sendTo(ctx, to, "sendMessage", params)
}

// sendTo sends to a chat and its topic, and without the topic when that is gone.
func (c *Channel) sendTo(ctx context.Context, to chat, method string, params tgbotapi.Params,
	files ...tgbotapi.RequestFile) error {
	params["chat_id"] = strconv.FormatInt(to.id, 10)
	if to.thread > 1 { // the general topic has number 1 and must not be named
		params["message_thread_id"] = strconv.FormatInt(to.thread, 10)
	}
	_, err := c.api.call(ctx, method, params, files...)
	var f *fault
	if to.thread > 1 && errors.As(err, &f) && f.code == 400 && f.says("message thread not found", "topic_closed",
		"topic_deleted") {
		delete(params, "message_thread_id")
		_, err = c.api.call(ctx, method, params, files...)
	}
	return err
}

func (c *Channel) complainIfRefused(err error) {
	var f *fault
	if errors.As(err, &f) && (f.code == 401 || f.code == 404) {
		c.complain("send", err)
	}
}

// Unparsed counts messages whose markup was refused; each is a bug.
func (c *Channel) Unparsed() int64 { return c.unparsed.Load() }
