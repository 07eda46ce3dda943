package rdb

import (
	"embed"
	"fmt"
	"strings"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

//go:embed scripts/*.lua
var sources embed.FS

// script reads one embedded script. go-redis runs it by its hash, and sends the
// text when the server does not know it (a restart, SCRIPT FLUSH, a failover).
func script(name string) *redis.Script { return redis.NewScript(text(name)) }

// text is a script as the server gets it, with the one number of ours that scripts
// go by.
func text(name string) string {
	b, err := sources.ReadFile("scripts/" + name + ".lua")
	if err != nil {
		panic(err) // embedded: seen by every test
	}
	return fmt.Sprintf("local LEVELS = %d -- of need, as roster has them\n", roster.Levels) + strings.TrimSpace(string(b))
}

var (
	eraseScript      = script("erase")
	pickScript       = script("pick")
	takeScript       = script("take")
	finishScript     = script("finish")
	appendScript     = script("append")
	readScript       = script("read")
	wipeScript       = script("wipe")
	claimScript      = script("claim")
	preferScript     = script("prefer")
	putShopScript    = script("put_shop")
	removeShopScript = script("remove_shop")
	idempotentScript = script("idempotent")
	slotScript       = script("slot")
	releaseScript    = script("release")
	pauseScript      = script("pause")
	newsTakeScript   = script("news_take")
	newsEndScript    = script("news_end")
	newsWakeScript   = script("news_wake")
	reportScript     = script("report")
)
