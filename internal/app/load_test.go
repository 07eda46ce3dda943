package app

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// good are settings without a problem.
func good(more ...string) []string {
	return append([]string{"PATH=/bin", "GASMUSTER_REDIS_URL=redis://:hunter22@127.0.0.1:6379/0",
		"GASMUSTER_SECRET=a secret of twenty-four and more", "GASMUSTER_PUBLIC_URL=https://gas.example"}, more...)
}

func noFiles(string) ([]byte, error) { return nil, fs.ErrNotExist }

func names(problems []Problem) []string {
	var list []string
	for _, p := range problems {
		list = append(list, strings.TrimPrefix(p.Name, Prefix))
	}
	slices.Sort(list)
	return list
}

func TestDefaults(t *testing.T) {
	c, problems := LoadConfig(good(), noFiles)
	if len(problems) != 0 {
		t.Errorf("problems: %v", problems)
	}
	got := []string{c.Listen, c.TelegramAPI, c.TelegramMode, c.Quiet, c.Evening, fmt.Sprint(c.KeepDays), c.Log}
	// From the table of settings in the interface contract.
	want := []string{"127.0.0.1:8080", "https://api.telegram.org", "poll", "22:00-06:00", "0 18 * * *", "30", "text"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if c, _ := LoadConfig(nil, noFiles); c.PublicURL != "http://127.0.0.1:8080" {
		t.Errorf("public URL %q, want it built on the listening address", c.PublicURL)
	}
}

func TestEveryProblemIsReportedAtOnce(t *testing.T) {
	_, problems := LoadConfig([]string{
		"GASMUSTER_REDIS_URL=http://x", "GASMUSTER_LISTEN=nowhere", "GASMUSTER_PUBLIC_URL=ftp://x",
		"GASMUSTER_TELEGRAM_TOKEN=abc",
		"GASMUSTER_TELEGRAM_API_URL=x", "GASMUSTER_TELEGRAM_MODE=push", "GASMUSTER_TELEGRAM_WEBHOOK_SECRET=ä",
		"GASMUSTER_SECRET=short",
		"GASMUSTER_SHOP_KEY=with blank", "GASMUSTER_QUIET=always", "GASMUSTER_EVENING=CRON_TZ=UTC",
		"GASMUSTER_KEEP_DAYS=many",
		"GASMUSTER_LOG=xml", "GASMUSTER_PPO2=9"}, noFiles)
	want := []string{"EVENING", "KEEP_DAYS", "LISTEN", "LOG", "PPO2", "PUBLIC_URL", "QUIET", "REDIS_URL", "SECRET",
		"SHOP_KEY",
		"TELEGRAM_API_URL", "TELEGRAM_MODE", "TELEGRAM_TOKEN", "TELEGRAM_WEBHOOK_SECRET"}
	if got := names(problems); !cmp.Equal(got, want) {
		t.Errorf("got problems with %v\nwant %v", got, want)
	}
	for _, p := range problems {
		if p.Want == "" || (p.Soft && p.Name != Prefix+"SHOP_KEY") {
			t.Errorf("%+v: want what is accepted, and no soft problem", p)
		}
	}
}

func TestOneWrongValue(t *testing.T) {
	for setting, name := range map[string]string{
		"GASMUSTER_REDIS_REPLICAS=-1":             "REDIS_REPLICAS",
		"GASMUSTER_REDIS_REPLICAS=6":              "REDIS_REPLICAS",
		"GASMUSTER_KEEP_DAYS=0":                   "KEEP_DAYS",
		"GASMUSTER_KEEP_DAYS=-3":                  "KEEP_DAYS",
		"GASMUSTER_EVENING=0 0 31 2 *":            "EVENING", // never comes
		"GASMUSTER_EVENING=@every 1s":             "EVENING",
		"GASMUSTER_QUIET=25:00-06:00":             "QUIET",
		"GASMUSTER_TELEGRAM_MODE=Poll":            "TELEGRAM_MODE",
		"GASMUSTER_LISTEN=127.0.0.1:99999":        "LISTEN",
		"GASMUSTER_METRICS_LISTEN=here":           "METRICS_LISTEN",
		"GASMUSTER_PUBLIC_URL=https://u:p@x.test": "PUBLIC_URL",
	} {
		t.Run(setting, func(t *testing.T) {
			if _, problems := LoadConfig(good(setting), noFiles); !slices.Equal(names(problems), []string{name}) {
				t.Errorf("problems: %v, want one with %s", problems, name)
			}
		})
	}
}

func TestSlipOfTheKeyboardIsNamed(t *testing.T) {
	for slip, meant := range map[string]string{
		"GASMUSTER_QIUET": "GASMUSTER_QUIET", "GASMUSTER_SECRETS": "GASMUSTER_SECRET",
		"GASMUSTER_TELEGRAM_API": "GASMUSTER_TELEGRAM_API_URL",
		"GASMUSTER_SECRET_FIEL":  "GASMUSTER_SECRET_FILE",
	} {
		_, problems := LoadConfig(good(slip+"=x"), noFiles)
		if len(problems) != 1 || problems[0].Name != slip || !strings.HasSuffix(problems[0].Want, "did you mean "+meant+"?") {
			t.Errorf("%s: %v, want a suggestion of %s", slip, problems, meant)
		}
	}
}

func TestSecretsFromFiles(t *testing.T) {
	read := func(path string) ([]byte, error) {
		if path == "/run/secrets/key" {
			return []byte("a-key-out-of-a-file-long-enough\n"), nil
		}
		return nil, &fs.PathError{Op: "open", Path: path, Err: errors.New("no such file")}
	}
	c, problems := LoadConfig(good("GASMUSTER_SHOP_KEY_FILE=/run/secrets/key", "GASMUSTER_TELEGRAM_TOKEN_FILE=/nowhere"),
		read)
	if !slices.Equal(names(problems), []string{"TELEGRAM_TOKEN_FILE"}) {
		t.Errorf("problems: %v, want one with the file that is missing", problems)
	}
	if got := c.ShopKey.Reveal(); got != "a-key-out-of-a-file-long-enough" {
		t.Errorf("got %q", got)
	}
	for _, more := range [][]string{{"GASMUSTER_SECRET_FILE=/run/secrets/key"},
		{"GASMUSTER_LISTEN_FILE=/run/secrets/key"}} {
		if _, problems := LoadConfig(good(more...), read); len(problems) != 1 {
			t.Errorf("%v: %v, want one problem: given twice, or no secret", more, problems)
		}
	}
}

func TestWebhookNeedsItsSecret(t *testing.T) {
	token := "GASMUSTER_TELEGRAM_TOKEN=12345:abcdefghij"
	if _, problems := LoadConfig(good(token, "GASMUSTER_TELEGRAM_MODE=webhook"), noFiles); !slices.Equal(names(problems),
		[]string{"TELEGRAM_WEBHOOK_SECRET"}) {
		t.Errorf("problems: %v", problems)
	}
	if _, problems := LoadConfig(good(token), noFiles); len(problems) != 0 {
		t.Errorf("polling: %v, want none", problems)
	}
}

func TestPublicAddressOfARealDeployment(t *testing.T) {
	for _, u := range []string{"http://127.0.0.1:8080", "http://localhost", "http://[::1]:80", "http://gas.example"} {
		_, problems := LoadConfig(good("GASMUSTER_PUBLIC_URL="+u), noFiles)
		if len(problems) != 1 || !problems[0].Soft {
			t.Errorf("%s: %v, want one soft problem", u, problems)
		}
	}
}

func TestSecretsAreNeverPrinted(t *testing.T) {
	c, problems := LoadConfig(good("GASMUSTER_SHOP_KEY=hunter22 twice", "GASMUSTER_TELEGRAM_TOKEN=hunter22",
		"GASMUSTER_TELEGRAM_WEBHOOK_SECRET=hunter22!"), noFiles)
	printed := fmt.Sprintf("%v %+v %#v %s %v %v", c, c, c, c.ShopKey, problems, c.Settings())
	if strings.Contains(printed, "hunter22") || strings.Contains(printed, "twenty-four") {
		t.Errorf("a secret is in %s", printed)
	}
}

func TestEverySettingHasAMeaning(t *testing.T) {
	for _, s := range (Config{}).Settings() {
		if s.Meaning == "" || strings.HasPrefix(s.Meaning, ";") {
			t.Errorf("%s: no meaning", s.Name)
		}
	}
}

func FuzzSettings(f *testing.F) {
	for _, s := range []string{"0 18 * * *", "CRON_TZ=UTC", "22:00-06:00", "redis://", "https://x", "\x00",
		"127.0.0.1:1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, value string) {
		var all []string
		for _, fl := range fields() {
			all = append(all, fl.name+"="+value)
		}
		_, _ = LoadConfig(all, noFiles) // never panics
	})
}
