package app

import (
	"fmt"
	"reflect"
)

// Setting is one line of "bot config".
type Setting struct{ Name, Value, Meaning string }

// Settings are the effective settings, secrets hidden.
func (c Config) Settings() []Setting {
	v := reflect.ValueOf(c)
	var list []Setting
	for i, f := range fields() {
		s := Setting{Name: f.name, Value: fmt.Sprint(v.Field(i).Interface()), Meaning: meanings[f.field]}
		if f.secret {
			s.Meaning += "; also from a file, by " + f.name + "_FILE"
		}
		list = append(list, s)
	}
	return list
}

// meanings are by the field of Config; a test sees that none is missing.
var meanings = map[string]string{ // #nosec G101 -- what settings mean, none of their values
	"RedisURL": "redis:// or rediss://, several comma-separated addresses for a cluster, or of sentinels with " +
		"?master=NAME behind the first",
	"RedisReplicas": "how many replicas must have a write before it is acknowledged",
	"Listen":        "address of the HTTP server",
	"MetricsListen": "address of a listener of its own for Prometheus; empty leaves /metrics where the rest is",
	"PublicURL":     "what links and the webhook are built on",
	"TelegramToken": "without it the Telegram channel is off",
	"TelegramAPI":   "any Bot API server",
	"TelegramMode":  "poll or webhook",
	"WebhookSecret": "checked on every update that Telegram delivers",
	"Secret":        "key of invite codes and page links",
	"ShopKey":       "opens a shop named default",
	"Quiet":         "no reminders then, in the trip's time zone",
	"Evening":       "cron expression of the evening-before message, in the trip's time zone",
	"KeepDays":      "days after a trip until everything about it is erased",
	"Log":           "text or json",
	"ClientHeader":  "header in which your own reverse proxy names the client; slows down guessing of keys",
	"PrivateHooks":  "true lets shops' webhooks be private, local or plain http addresses",
}
