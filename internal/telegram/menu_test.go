package telegram

import (
	"encoding/json"
	"testing"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
)

// The default menu is set once for everybody and once for each language by its
// two letters, each described in that language.
func TestDefaultMenuInEveryLanguage(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	want := len(message.Languages()) // English is everybody's
	if !r.api.Wait(func() bool { return len(r.api.Calls("setMyCommands")) >= want }) {
		t.Fatalf("%d menus, want %d", len(r.api.Calls("setMyCommands")), want)
	}
	menus := map[string][]tgbotapi.BotCommand{}
	for _, e := range r.api.Calls("setMyCommands") {
		var list []tgbotapi.BotCommand
		if err := json.Unmarshal([]byte(e.Params["commands"]), &list); err != nil {
			t.Fatal(err)
		}
		menus[e.Params["language_code"]] = list
	}
	for _, tag := range message.Languages() {
		if tag == "en" {
			tag = ""
		}
		if len(menus[tag]) != len(defaultMenu) {
			t.Errorf("language_code %q: %d commands, want %d", tag, len(menus[tag]), len(defaultMenu))
		}
		for i, c := range menus[tag] {
			if tag != "" && c.Description == menus[""][i].Description {
				t.Errorf("%s /%s is described in English: %q", tag, c.Command, c.Description)
			}
		}
	}
}

// Every command has a description that Telegram takes, in every language: Bot
// API, BotCommand: 1 to 256 characters; longer ones would be cut.
func TestMenuDescriptionsFit(t *testing.T) {
	for _, tag := range message.Languages() {
		for _, name := range append(conversation.Commands("leader"), defaultMenu...) {
			text := message.New().Line(message.Say("menu."+name, nil), message.Reader{Language: tag})
			if text == "" || cutUnits(text, 256) != text {
				t.Errorf("%s /%s: %q", tag, name, text)
			}
		}
	}
}
