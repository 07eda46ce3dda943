package app

import (
	"fmt"
	"net"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// check judges every setting. Problems marked soft do not keep serve from
// starting: they are what a real deployment should put right.
func (c Config) check() []Problem {
	var p []Problem
	add := func(name, value, want string) {
		if want == "" {
			return
		}
		p = append(p, Problem{Name: Prefix + name, Value: value, Want: want})
	}
	if c.RedisURL == "" {
		add("REDIS_URL", "", needRedis)
	} else if _, err := rdb.Options(c.RedisURL.Reveal()); err != nil {
		add("REDIS_URL", "", err.Error())
	}
	if c.RedisReplicas < 0 || c.RedisReplicas > 5 {
		add("REDIS_REPLICAS", strconv.Itoa(c.RedisReplicas), "0 to 5 replicas of each master")
	}
	add("LISTEN", quoted(c.Listen), wrongListen(c.Listen))
	if c.MetricsListen != "" {
		add("METRICS_LISTEN", quoted(c.MetricsListen), wrongListen(c.MetricsListen))
	}
	add("PUBLIC_URL", quoted(c.PublicURL), wrongURL(c.PublicURL))
	add("TELEGRAM_API_URL", quoted(c.TelegramAPI), wrongURL(c.TelegramAPI))
	add("TELEGRAM_MODE", quoted(c.TelegramMode), oneOf(c.TelegramMode, "poll", "webhook"))
	add("TELEGRAM_TOKEN", "", wrongToken(c.TelegramToken.Reveal()))
	add("TELEGRAM_WEBHOOK_SECRET", "", c.wrongWebhookSecret())
	add("SECRET", "", wrongSecret(c.Secret.Reveal()))
	add("SHOP_KEY", "", wrongShopKey(c.ShopKey.Reveal()))
	add("QUIET", quoted(c.Quiet), wrongQuiet(c.Quiet))
	add("EVENING", quoted(c.Evening), wrongCron(c.Evening))
	if c.KeepDays < 1 || c.KeepDays > 3650 {
		add("KEEP_DAYS", strconv.Itoa(c.KeepDays), "1 to 3650 days")
	}
	add("LOG", quoted(c.Log), oneOf(c.Log, "text", "json"))
	if c.ClientHeader != "" && !headerForm.MatchString(c.ClientHeader) {
		add("CLIENT_HEADER", quoted(c.ClientHeader), "want the name of a header, such as X-Forwarded-For, or nothing")
	}
	return append(p, c.soft()...)
}

const needRedis = "is not set, and the service keeps everything in Redis. Start one (redis-server --appendonly yes, " +
	"or the one in docker-compose.yml) and set it to redis://127.0.0.1:6379/0. To look around without one: bot demo"

// soft are the problems of a real deployment.
func (c Config) soft() []Problem {
	var p []Problem
	add := func(name, value, want string) {
		p = append(p, Problem{Name: Prefix + name, Value: value, Want: want, Soft: true})
	}
	u, err := url.Parse(c.PublicURL)
	switch {
	case err != nil || wrongURL(c.PublicURL) != "":
	case loopback(u.Hostname()):
		add("PUBLIC_URL", quoted(c.PublicURL),
			"is an address of this machine alone: divers can't open their pages and Telegram can't deliver to it. Want the "+
				"https:// address that the world reaches this service by")
	case u.Scheme != "https":
		add("PUBLIC_URL", quoted(c.PublicURL),
			"is not encrypted: page links could be read on the way, and Telegram delivers to https:// only")
	}
	if n := len(c.Secret); n >= 8 && n < 24 {
		add("SECRET", "", "is short: it guards every invite. Want 24 characters or more, for example from: openssl rand "+
			"-base64 32")
	}
	if c.PrivateHooks {
		add("WEBHOOK_ALLOW_PRIVATE", "true", "lets whoever holds a shop's key make this service send requests inside its "+
			"own network. Want false, unless the shop's systems stand there")
	}
	if c.ShopKey != "" && len(c.ShopKey) < 16 {
		add("SHOP_KEY", "", "is short: it opens every trip of the shop. Want 16 characters or more, for example from: "+
			"openssl rand -hex 24")
	}
	return p
}

func quoted(s string) string { return fmt.Sprintf("%q", s) }

func oneOf(got string, want ...string) string {
	for _, w := range want {
		if got == w {
			return ""
		}
	}
	return "want " + strings.Join(want, " or ")
}

func wrongListen(s string) string {
	_, port, err := net.SplitHostPort(s)
	if n, perr := strconv.Atoi(port); err != nil || perr != nil || n < 0 || n > 65535 {
		return "want host:port, such as 127.0.0.1:8080 or :8080"
	}
	return ""
}

func wrongURL(s string) string {
	u, err := url.Parse(s)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" || u.RawQuery != "" ||
		u.Fragment != "" || u.User != nil {
		return "want an http:// or https:// address without user, query or fragment"
	}
	return ""
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || host == "" || ip != nil && (ip.IsLoopback() || ip.IsUnspecified())
}

var (
	tokenForm  = regexp.MustCompile(`^[0-9]{1,20}:[A-Za-z0-9_-]{8,200}$`)
	headerForm = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9-]{0,63}$`)
	secretForm = regexp.MustCompile(`^[A-Za-z0-9_-]{1,256}$`)
)

func wrongToken(s string) string {
	if s == "" || tokenForm.MatchString(s) {
		return ""
	}
	return "want the token as Telegram gave it: digits, a colon, letters and digits"
}

func (c Config) wrongWebhookSecret() string {
	s := c.WebhookSecret.Reveal()
	switch {
	case s == "" && c.Webhook() && c.TelegramToken != "":
		return "is not set, and the webhook needs it: 1 to 256 of A-Z a-z 0-9 _ -, for example from: openssl rand -hex 32"
	case s != "" && !secretForm.MatchString(s):
		return "want 1 to 256 of A-Z a-z 0-9 _ -"
	}
	return ""
}

func wrongSecret(s string) string {
	switch {
	case s == "":
		return "is not set, and every invite is made with it. Set it once and keep it, for example from: openssl rand " +
			"-base64 32"
	case len(s) < 8:
		return "want 8 characters at the very least, better 24 or more"
	}
	return ""
}

func wrongShopKey(s string) string {
	if strings.ContainsAny(s, " \t\r\n") {
		return "want a key without blanks"
	}
	return ""
}

func wrongQuiet(s string) string {
	_, _, err := roster.Quiet(s)
	return text(err)
}

// wrongCron refuses a time zone inside the expression too: every trip has its own.
func wrongCron(s string) string {
	_, err := roster.Schedule(s)
	return text(err)
}

func text(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}
