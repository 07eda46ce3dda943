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
			Max:      gas.Depth{Value: 33, Unit: gas.Metres},
			Cylinder: message.Say("leader.cylinder", message.Args{"label": message.Name("17")})})
	}
	return message.Message{Lines: []message.Line{line("the board")}, Picture: p,
		Buttons: buttons(message.Button{Label: line("Sign off"), Do: "lsign"})}
}

func TestSendPictureAfterTheText(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	if got := r.ch.Send(t.Context(), envelope(private(7000),
		withChart(45))); got != (delivery.Outcome{Result: delivery.Sent}) {
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
		if m.Photo == nil || m.Photo.Format != "png" || m.Photo.Width != picture.Width*picture.Enlarged {
			t.Errorf("sheet %d did not come, or not as wide as it is drawn", i+1)
		}
		if !strings.Contains(m.Text, "Anvil Ledge") || len(m.Buttons) != 0 {
			t.Errorf("sheet %d: caption %q with %v", i+1, m.Text, m.Buttons)
		}
	}
}

// Whatever becomes of the picture, the text arrived once. What may pass is tried
// again, the picture alone; in the end the reader is told that there is none.
func TestPictureThatFails(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		fault standin.Fault
		again bool
	}{
		"refused":   {standin.Fault{Status: 400, Description: "Bad Request: PHOTO_INVALID_DIMENSIONS"}, false},
		"too large": {standin.Fault{Status: 413, Description: "Request Entity Too Large"}, false},
		"no right to send photos": {standin.Fault{Status: 400,
			Description: "Bad Request: not enough rights to send photos to the chat"}, false},
		"blocked meanwhile": {standin.Fault{Status: 403, Description: "Forbidden: bot was blocked by the user"}, false},
		"down":              {standin.Fault{Status: 500, Description: "Internal Server Error"}, true},
		"a proxy's page":    {standin.Fault{Status: 502, Page: "<html>bad gateway</html>"}, true},
		"cut":               {standin.Fault{Drop: true}, true},
		"half an answer":    {standin.Fault{Half: true}, true},
		"throttled for long": {standin.Fault{Status: 429, RetryAfter: 60, Description: "Too Many Requests: retry after 60"},
			true},
		"throttled twice": {standin.Fault{Status: 429, RetryAfter: 2, Times: 2,
			Description: "Too Many Requests: retry after 2"}, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.ch.pause = func(context.Context, time.Duration) bool { return true }
			ines := r.api.User(7000, "Inês", "en")
			ines.Start("")
			c.fault.Method = "sendPhoto"
			r.api.Fault(c.fault)
			e := envelope(private(7000), withChart(8))
			e.Attempts = 1
			first := r.ch.Send(t.Context(), e)
			if again := first.Result == delivery.Failed; again != c.again {
				t.Fatalf("outcome %+v, tried again: %v, want %v", first, again, c.again)
			}
			e.Attempts = 2
			if got := r.ch.Send(t.Context(), e); c.again && got.Result != delivery.Sent {
				t.Errorf("second attempt: %+v, want sent", got)
			}
			boards, missing := said(ines, "the board"), said(ines, "could not be sent")
			if boards != 1 || (missing == 1) == c.again {
				t.Errorf("%d boards, %d times told that the picture is missing", boards, missing)
			}
			log := r.log.String()
			if !strings.Contains(log, "its text was sent") || strings.Contains(log, "Tomasz") {
				t.Errorf("log:\n%s", log)
			}
			noToken(t, "the log", log, r.api.Token)
		})
	}
}

// said counts the texts that hold words.
func said(u *standin.User, words string) (n int) {
	for _, m := range u.Messages() {
		if m.Photo == nil && strings.Contains(m.Text, words) {
			n++
		}
	}
	return n
}

// A picture that fails every time is left out, and the reader is told so.
func TestPictureIsGivenUp(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "en")
	ines.Start("")
	r.api.Fault(standin.Fault{Method: "sendPhoto", Status: 502, Page: "<html>", Times: picturesTried})
	e := envelope(private(7000), withChart(8))
	var got delivery.Outcome
	for e.Attempts = 1; e.Attempts <= picturesTried; e.Attempts++ {
		got = r.ch.Send(t.Context(), e)
	}
	if got.Result != delivery.Sent || said(ines, "could not be sent") != 1 || said(ines, "the board") != 1 {
		t.Errorf("outcome %+v, told %d times, %d boards", got, said(ines, "could not be sent"), said(ines, "the board"))
	}
}

// A photo that nobody answers for is tried again.
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
	if got := r.ch.Send(ctx, envelope(private(7000), withChart(8))); got.Result != delivery.Failed {
		t.Errorf("outcome %+v, want failed: the text arrived, the picture did not", got)
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
	r.api.Fault(standin.Fault{Method: "sendPhoto", Status: 429, RetryAfter: 3,
		Description: "Too Many Requests: retry after 3"})
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
	r.api.Fault(standin.Fault{Method: "sendMessage", Status: 429, RetryAfter: 3,
		Description: "Too Many Requests: retry after 3"})
	if got := r.ch.Send(t.Context(), envelope(private(7000), withChart(8))); got.Result != delivery.Later ||
		len(ines.Messages()) != 0 {
		t.Fatalf("outcome %+v and %d messages, want later and none", got, len(ines.Messages()))
	}
	if got := r.ch.Send(t.Context(), envelope(private(7000), withChart(8))); got.Result != delivery.Sent ||
		len(ines.Messages()) != 2 {
		t.Errorf("outcome %+v and %d messages, want sent and two", got, len(ines.Messages()))
	}
}

// A picture that can't be drawn is left out, and that is said.
func TestPictureThatCannotBeDrawn(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	m := withChart(1)
	m.Picture.Planned = gas.Depth{} // no scale
	got := r.ch.Send(t.Context(), envelope(private(7000), m))
	if arrived := ines.Messages(); got.Result != delivery.Sent || len(arrived) != 2 ||
		arrived[0].Text != "the board, end" {
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
