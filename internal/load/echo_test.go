package load

import (
	"net/http"
	"testing"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// echo is the least that a bot of the same library can do: decode the update
// with the library's types and answer in the webhook's reply. It stores
// nothing, and checks nobody.
func echo(w http.ResponseWriter, r *http.Request) {
	var bot tgbotapi.BotAPI
	u, err := bot.HandleUpdate(r)
	if err != nil || u.Message == nil {
		http.Error(w, "not an update", http.StatusBadRequest)
		return
	}
	if err := tgbotapi.WriteToHTTPResponse(w, tgbotapi.NewMessage(u.Message.Chat.ID, u.Message.Text)); err != nil {
		http.Error(w, "no answer", http.StatusInternalServerError)
	}
}

func echoServer(tb testing.TB) *gun {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /telegram/webhook", echo)
	return aim(tb, serve(tb, mux))
}
