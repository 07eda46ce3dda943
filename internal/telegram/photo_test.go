package telegram

import (
	"context"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/picture"
	"gasmuster/internal/telegram/standin"
)

// withChart is a board of n cylinders.
func withChart(n int) message.Message {
	p := &message.Picture{Planned: gas.Depth{Value: 30, Unit: gas.Metres},
		Title: message.Say("chart.title", message.Args{"dive": message.Count(1), "site": message.Name("Anvil Ledge")})}
	for range n {
		p.Rows = append(p.Rows, message.PictureRow{Name: message.Name("<Tomasz> & 健二"), Fit: message.FitGood, Reading: 32,
			MOD: gas.Depth{Value: 33, Unit: gas.Metres}, Cylinder: message.Say("leader.cylinder", message.Args{"label": message.Name("17")})})
	}
	return message.Message{Lines: []message.Line{line("the board")}, Picture: p,
		Buttons: buttons(message.Button{Label: line("Sign off"), Do: "lsign"})}
}

func TestSendPictureAfterTheText(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	if got := r.ch.Send(t.Context(), envelope(private(7000), withChart(45))); got != (delivery.Outcome{Result: delivery.Sent}) {
		t.Fatalf("outcome %+v", got)
	}
	got := ines.Messages()
	if len(got) != 4 {
		t.Fatalf("%d messages, want the board and three sheets", len(got))
	}
	if got[0].Photo != nil || got[0].Text != "the board, end" || len(got[0].Buttons) != 1 {
		t.Errorf("first came %+v, want the text with its buttons", got[0])
	}
	for i, m := range got[1:] {
		if m.Photo == nil || m.Photo.Format != "png" || m.Photo.Width != picture.Width {
			t.Errorf("sheet %d came as %+v", i+1, m.Photo)
		}
		if !strings.Contains(m.Text, "Anvil Ledge") || !strings.Contains(m.Text, "<Tomasz> & 健二") || len(m.Buttons) != 0 {
			t.Errorf("sheet %d: caption %q with %v", i+1, m.Text, m.Buttons)
		}
	}
}

// Whatever becomes of the picture, the text arrived once and stays sent.
func TestPictureThatFailsLeavesTheTextSent(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]standin.Fault{
		"refused":                 {Status: 400, Description: "Bad Request: PHOTO_INVALID_DIMENSIONS"},
		"too large":               {Status: 413, Description: "Request Entity Too Large"},
		"no right to send photos": {Status: 400, Description: "Bad Request: not enough rights to send photos to the chat"},
		"blocked meanwhile":       {Status: 403, Description: "Forbidden: bot was blocked by the user"},
		"down":                    {Status: 500, Description: "Internal Server Error"},
		"a proxy's page":          {Status: 502, Page: "<html>bad gateway</html>"},
		"cut":                     {Drop: true},
		"cut, but it arrived":     {Drop: true, Applied: true},
		"half an answer":          {Half: true},
		"throttled for long":      {Status: 429, RetryAfter: 60, Description: "Too Many Requests: retry after 60"},
		"throttled twice":         {Status: 429, RetryAfter: 2, Times: 2, Description: "Too Many Requests: retry after 2"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.ch.pause = func(context.Context, time.Duration) bool { return true }
			ines := r.api.User(7000, "Inês", "pt")
			ines.Start("")
			f.Method = "sendPhoto"
			r.api.Fault(f)
			if got := r.ch.Send(t.Context(), envelope(private(7000), withChart(8))); got != (delivery.Outcome{Result: delivery.Sent}) {
				t.Errorf("outcome %+v, want sent", got)
			}
			texts := 0
			for _, m := range ines.Messages() {
				if m.Photo == nil {
					texts++
				}
			}
			if texts != 1 || len(r.api.Calls("sendMessage")) != 1 {
				t.Errorf("%d texts arrived of %d sent, want one", texts, len(r.api.Calls("sendMessage")))
			}
			log := r.log.String()
			if !strings.Contains(log, "its text was sent") || strings.Contains(log, "Tomasz") {
				t.Errorf("log:\n%s", log)
			}
			noToken(t, "the log", log, r.api.Token)
		})
	}
}

// A photo that nobody answers for is given up in time.
func TestPictureWithoutAnswer(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.api.User(7000, "Inês", "pt").Start("")
	r.api.Fault(standin.Fault{Method: "sendPhoto", Hang: true})
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	go func() {
		r.api.Wait(func() bool { return len(r.api.Calls("sendPhoto")) == 1 })
		cancel() // the postman's patience is over
	}()
	if got := r.ch.Send(ctx, envelope(private(7000), withChart(8))); got.Result != delivery.Sent {
		t.Errorf("outcome %+v, want sent: the text arrived", got)
	}
}

// When the server wants a short wait, the sheet is sent after it.
func TestPictureWaitsWhenThrottled(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	var waited []time.Duration
	r.ch.pause = func(_ context.Context, d time.Duration) bool { waited = append(waited, d); return true }
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	r.api.Fault(standin.Fault{Method: "sendPhoto", Status: 429, RetryAfter: 3, Description: "Too Many Requests: retry after 3"})
	r.ch.Send(t.Context(), envelope(private(7000), withChart(8)))
	if len(waited) != 1 || waited[0] != 3*time.Second {
		t.Errorf("waited %v, want once 3 s", waited)
	}
	if got := ines.Messages(); len(got) != 2 || got[1].Photo == nil {
		t.Errorf("%d messages arrived, want text and picture", len(got))
	}
}

// A text that isn't sent takes no picture along, and the next attempt sends both.
func TestPictureWaitsForItsText(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	r.api.Fault(standin.Fault{Method: "sendMessage", Status: 429, RetryAfter: 3, Description: "Too Many Requests: retry after 3"})
	if got := r.ch.Send(t.Context(), envelope(private(7000), withChart(8))); got.Result != delivery.Later || len(ines.Messages()) != 0 {
		t.Fatalf("outcome %+v and %d messages, want later and none", got, len(ines.Messages()))
	}
	if got := r.ch.Send(t.Context(), envelope(private(7000), withChart(8))); got.Result != delivery.Sent || len(ines.Messages()) != 2 {
		t.Errorf("outcome %+v and %d messages, want sent and two", got, len(ines.Messages()))
	}
}

// A picture that can't be drawn is left out.
func TestPictureThatCannotBeDrawn(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	m := withChart(1)
	m.Picture.Planned = gas.Depth{} // no scale
	got := r.ch.Send(t.Context(), envelope(private(7000), m))
	if arrived := ines.Messages(); got.Result != delivery.Sent || len(arrived) != 1 || arrived[0].Text != "the board, end" {
		t.Errorf("outcome %+v, arrived %+v", got, arrived)
	}
}

func BenchmarkSendBoardWithPicture(b *testing.B) {
	r := newRig(b)
	r.api.User(7000, "Inês", "pt").Start("")
	e := envelope(private(7000), withChart(8))
	for b.Loop() {
		if got := r.ch.Send(b.Context(), e); got.Result != delivery.Sent {
			b.Fatal(got)
		}
	}
}
