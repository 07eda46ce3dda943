package telegram

import (
	"fmt"
	"net/url"
	"strings"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// maxData is what a button can carry, in bytes. One button that carries more
// makes the server refuse the whole message.
const maxData = 64

// writeData puts the trip before what a button does: "<trip>|<do>". Beside any trip
// it is "<do>" alone.
func writeData(trip roster.TripID, do string) string {
	if trip == "" {
		return do
	}
	return string(trip) + "|" + do
}

// readData takes it apart. Without a trip's name in front, all of it is what
// the button does, on the trip that the person talks about.
func readData(data string) (roster.TripID, string) {
	trip, do, ok := strings.Cut(data, "|")
	if !ok || !isTripID(trip) {
		return "", data
	}
	return roster.TripID(trip), do
}

func isTripID(s string) bool {
	return len(s) == 10 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz234567") == ""
}

// keyboard builds the inline keyboard of a message. Links that the server
// would refuse, such as those of a service on localhost, come back to be
// written into the text. An error means a button that can't be sent at all.
func (c *Channel) keyboard(trip roster.TripID, rows [][]message.Button,
	to message.Reader) (*tgbotapi.InlineKeyboardMarkup, []string, error) {
	k := tgbotapi.InlineKeyboardMarkup{InlineKeyboard: [][]tgbotapi.InlineKeyboardButton{}}
	var links []string
	for _, row := range rows {
		var out []tgbotapi.InlineKeyboardButton
		for _, b := range row {
			label := strings.TrimSpace(c.render.Shown(b.Label, to))
			switch data := writeData(trip, b.Do); {
			case b.URL != "" && !linkable(b.URL):
				links = append(links, label+": "+b.URL)
			case label == "":
				return nil, nil, fmt.Errorf("button %q: empty label", b.Do)
			case b.URL != "":
				out = append(out, tgbotapi.NewInlineKeyboardButtonURL(label, b.URL))
			case len(data) > maxData:
				return nil, nil, fmt.Errorf("button %q: %d bytes with its trip, at most %d fit", b.Do, len(data), maxData)
			default:
				out = append(out, tgbotapi.NewInlineKeyboardButtonData(label, data))
			}
		}
		if len(out) > 0 {
			k.InlineKeyboard = append(k.InlineKeyboard, out)
		}
	}
	if len(k.InlineKeyboard) == 0 {
		return nil, links, nil
	}
	return &k, links, nil
}

// linkable tells addresses that the server takes for a button.
func linkable(address string) bool {
	u, err := url.Parse(address)
	return err == nil && (u.Scheme == "https" || u.Scheme == "http") && strings.Contains(u.Hostname(), ".")
}
