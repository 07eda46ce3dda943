package telegram

import (
	"testing"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/telegram/standin"
)

// A photo goes from who sent it to who can confirm it, by the server's id; a caption
// is what was typed with it.
func TestPhotoIsPassedOn(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	tomasz := r.api.User(7001, "Tomasz", "en")
	tomasz.Start("")
	tomasz.SendAny(map[string]any{"caption": "17 32.1",
		"photo": []any{map[string]any{"file_id": "small"}, map[string]any{"file_id": standin.SentPhoto + "1"}}})
	r.api.Wait(func() bool {
		got := r.desk.inbound()
		return len(got) > 0 && got[len(got)-1].Photo == standin.SentPhoto+"1" && got[len(got)-1].Text == "17 32.1"
	})
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	m := message.Message{Lines: []message.Line{line("does it show 32.1?")}, Photo: standin.SentPhoto + "1"}
	if got := r.ch.Send(t.Context(), envelope(private(7000), m)); got.Result != delivery.Sent {
		t.Fatalf("outcome %+v", got)
	}
	if got := ines.Messages(); len(got) != 2 || got[1].Photo == nil || got[1].Photo.Format != standin.SentPhoto+"1" {
		t.Errorf("came %+v, want the text and the photo", got)
	}
}

// An open invite comes as its link and as a picture that other phones can open.
func TestSendCodeAfterTheText(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.ch.cfg.Links = &delivery.Linker{Invites: delivery.NewInvites("a secret of this test"),
		PublicURL: "https://charter.example"}
	ines := r.api.User(7000, "Inês", "pt")
	ines.Start("")
	m := message.Message{Lines: []message.Line{line("the invite"),
		message.Row("revoke.link", message.Args{"link": message.OpenLink(1)})},
		Code: message.OpenLink(1)}
	if got := r.ch.Send(t.Context(), envelope(private(7000), m)); got.Result != delivery.Sent {
		t.Fatalf("outcome %+v", got)
	}
	got := ines.Messages()
	if len(got) != 2 || got[1].Photo == nil || got[1].Photo.Format != "png" {
		t.Fatalf("came %+v, want the text and a picture", got)
	}
	if want := "https://charter.example/j/" + delivery.NewInvites("a secret of this test").OpenCode(tripID,
		1); got[1].Text != want {
		t.Errorf("caption %q, want %q", got[1].Text, want)
	}
}
