package app

import (
	"log/slog"
	"time"
)

// Config is every setting of the service. The names in the environment are
// these with the prefix GASMUSTER_; a default stands in its tag and nowhere
// else. A Secret may also come from a file, named by the same name with _FILE.
type Config struct {
	RedisURL Secret `env:"REDIS_URL"`
	// RedisReplicas is how many replicas must have a write before it is acknowledged.
	RedisReplicas int    `env:"REDIS_REPLICAS" envDefault:"0"`
	Listen        string `env:"LISTEN" envDefault:"127.0.0.1:8080"`
	PublicURL     string `env:"PUBLIC_URL"`
	MetricsListen string `env:"METRICS_LISTEN"` // "" leaves metrics on Listen
	TelegramToken Secret `env:"TELEGRAM_TOKEN"`
	TelegramAPI   string `env:"TELEGRAM_API_URL" envDefault:"https://api.telegram.org"`
	TelegramMode  string `env:"TELEGRAM_MODE" envDefault:"poll"`
	WebhookSecret Secret `env:"TELEGRAM_WEBHOOK_SECRET"`
	Secret        Secret `env:"SECRET"`
	ShopKey       Secret `env:"SHOP_KEY"`
	Quiet         string `env:"QUIET" envDefault:"22:00-06:00"`
	Evening       string `env:"EVENING" envDefault:"0 18 * * *"`
	KeepDays      int    `env:"KEEP_DAYS" envDefault:"30"`
	Log           string `env:"LOG" envDefault:"text"`
	// PrivateHooks lets shops register webhooks inside private networks and over
	// plain http.
	PrivateHooks bool `env:"WEBHOOK_ALLOW_PRIVATE" envDefault:"false"`
	// ClientHeader is trusted only where a reverse proxy of one's own writes it.
	ClientHeader string `env:"CLIENT_HEADER"`
}

// Prefix begins the name of every setting.
const Prefix = "GASMUSTER_"

// Secret is a value that is never printed.
type Secret string

// String is a placeholder; Reveal is the value.
func (s Secret) String() string {
	if s == "" {
		return "(not set)"
	}
	return "(set, hidden)"
}

// GoString is the placeholder too.
func (s Secret) GoString() string { return s.String() }

// LogValue is the placeholder too.
func (s Secret) LogValue() slog.Value { return slog.StringValue(s.String()) }

// MarshalText is the placeholder too.
func (s Secret) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Reveal is the secret itself.
func (s Secret) Reveal() string { return string(s) }

// Keep is how long a trip is kept after its last dive.
func (c Config) Keep() time.Duration { return time.Duration(c.KeepDays) * 24 * time.Hour }

// Webhook tells whether Telegram delivers to us, rather than being polled.
func (c Config) Webhook() bool { return c.TelegramMode == "webhook" }
