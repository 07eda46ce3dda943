package e2e

import (
	"testing"

	"gasmuster/internal/telegram/standin"
)

func TestTooRichForTheSiteByWebhook(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	port := freePort(t)
	_ = port
	b := startBot(t, r, api, webhook()...)
	tr := b.create(charter())
	ines, tomasz := api.User(1001, "Inês", "en"), api.User(1002, "Tomasz", "en")
	ines.Start(tr.codes["Inês"])
	ines.Await("Hello")
	tomasz.Start(tr.codes["Tomasz"])
	tomasz.Await("too rich").Press("Change to 31 % (recommended)")
	tomasz.Await("Changed", "31 %")
	t.Log(api.Dump())
}
