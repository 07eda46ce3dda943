package standin

import (
	"bytes"
	"encoding/json"
	"net/url"
)

// Button is one inline button: it carries Data or leads to URL.
type Button struct {
	Label string `json:"text"`
	Data  string `json:"callback_data,omitempty"`
	URL   string `json:"url,omitempty"`
}

// maxButtons is how many buttons one keyboard may have.
const maxButtons = 100

// keyboard reads reply_markup; only inline keyboards are taken.
func keyboard(raw string) ([][]Button, *refusal) {
	if raw == "" {
		return nil, nil
	}
	var k struct {
		Rows [][]Button `json:"inline_keyboard"`
	}
	d := json.NewDecoder(bytes.NewReader([]byte(raw)))
	d.DisallowUnknownFields()
	if err := d.Decode(&k); err != nil || k.Rows == nil {
		return nil, refuse(400, "can't parse reply keyboard markup JSON object")
	}
	count := 0
	for _, row := range k.Rows {
		for _, b := range row {
			count++
			if no := b.check(); no != nil {
				return nil, no
			}
		}
	}
	if count > maxButtons {
		return nil, refuse(400, "REPLY_MARKUP_TOO_LONG")
	}
	return k.Rows, nil
}

func (b Button) check() *refusal {
	switch {
	case b.Label == "":
		return refuse(400, "inline keyboard button text must be non-empty")
	case b.URL != "" && b.Data != "", b.URL == "" && b.Data == "":
		return refuse(400, "text buttons are unallowed in the inline keyboard")
	case len(b.Data) > 64:
		return refuse(400, "BUTTON_DATA_INVALID")
	case b.URL != "":
		u, err := url.Parse(b.URL)
		if err != nil || u.Host == "" || u.Hostname() == "localhost" ||
			(u.Scheme != "http" && u.Scheme != "https" && u.Scheme != "tg") {
			return refuse(400, "inline keyboard button URL '%s' is invalid: Wrong HTTP URL", b.URL)
		}
	}
	return nil
}
