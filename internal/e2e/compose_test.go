package e2e

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	goredis "github.com/redis/go-redis/v9"
	"go.yaml.in/yaml/v4"
)

// composed is what docker-compose.yml says, as far as the tests look at it.
type composed struct {
	Services map[string]struct {
		Environment map[string]string
		Secrets     []string
		Ports       []string
		Command     []string
		Volumes     []string
		ReadOnly    bool     `yaml:"read_only"`
		CapDrop     []string `yaml:"cap_drop"`
		Options     []string `yaml:"security_opt"`
	}
	Secrets map[string]struct{ File string }
	Volumes map[string]any
}

func readCompose(t *testing.T) composed {
	t.Helper()
	raw, err := os.ReadFile("../../docker-compose.yml")
	if err != nil {
		t.Fatal(err)
	}
	var c composed
	if err := yaml.Unmarshal(raw, &c); err != nil {
		t.Fatal(err)
	}
	return c
}

var given = regexp.MustCompile(`\$\{GASMUSTER_PUBLIC_URL:\?[^}]*\}`)

// settings are those of the bot's container. What the operator gives is put in: an
// address, and the secrets in files below root, where the container has them.
func (c composed) settings(t *testing.T, root string) map[string]string {
	t.Helper()
	bot, all := c.Services["bot"], map[string]string{}
	for name, value := range bot.Environment {
		all[name] = given.ReplaceAllString(value, "https://gas.example.org")
	}
	dir := filepath.Join(root, "run", "secrets")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	contents := map[string]string{"gasmuster_secret": inviteSecret, "webhook_secret": webhookSecret,
		"telegram_token": "4242424242:AAinvented-token-of-the-stand-in_01"}
	for _, name := range bot.Secrets {
		if c.Secrets[name].File == "" || contents[name] == "" {
			t.Errorf("secret %s: no file of it, or none that this test knows", name)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(contents[name]+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

func environ(settings map[string]string) (env []string) {
	for name, value := range settings {
		env = append(env, name+"="+value)
	}
	return env
}

// The compose file sets what the program knows, to values that it takes, and nothing
// of a real deployment is left to be put right.
func TestComposeSetsWhatTheProgramKnows(t *testing.T) {
	t.Parallel()
	path, err := built()
	if err != nil {
		t.Fatal(err)
	}
	root := t.TempDir()
	settings := readCompose(t).settings(t, root)
	for name, value := range settings {
		if strings.HasPrefix(value, "/run/secrets/") {
			settings[name] = filepath.Join(root, value)
		}
	}
	config := func(env []string) (string, error) {
		cmd := exec.Command(path, "config")
		cmd.Env = env
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := config(environ(settings)); err != nil {
		t.Errorf("bot config: %v\n%s", err, out)
	}
	if out, err := config(append(environ(settings), "GASMUSTER_LOGS=json")); err == nil ||
		!strings.Contains(out, "GASMUSTER_LOGS") {
		t.Errorf("a setting that does not exist is let pass: %v\n%s", err, out)
	}
}

// What the compose file publishes, it publishes to this machine alone, where a proxy
// with TLS stands before it; the program can write nowhere and has no rights.
func TestComposeLeavesNothingOpen(t *testing.T) {
	t.Parallel()
	c := readCompose(t)
	for name, s := range c.Services {
		for _, p := range s.Ports {
			if !strings.HasPrefix(p, "127.0.0.1:") {
				t.Errorf("%s publishes %s to everybody", name, p)
			}
		}
	}
	bot := c.Services["bot"]
	if !bot.ReadOnly || !slices.Equal(bot.CapDrop, []string{"ALL"}) ||
		!slices.Contains(bot.Options, "no-new-privileges:true") {
		t.Errorf("read-only %v, rights dropped %v, options %v", bot.ReadOnly, bot.CapDrop, bot.Options)
	}
	_, port, _ := strings.Cut(bot.Environment["GASMUSTER_LISTEN"], ":")
	if len(bot.Ports) != 1 || !strings.HasSuffix(bot.Ports[0], ":"+port) {
		t.Errorf("listens on %s and publishes %v", port, bot.Ports)
	}
}

// The compose file's Redis has every write on disk before it answers, forgets nothing
// when it is full, and keeps its files on a volume.
func TestComposeRedisKeepsEverything(t *testing.T) {
	t.Parallel()
	c := readCompose(t)
	store := c.Services["redis"]
	if len(store.Command) == 0 || store.Command[0] != "redis-server" {
		t.Fatalf("command %v", store.Command)
	}
	r := startRedisWith(t, append([]string{"--appendonly", "no", "--appendfsync", "no"}, store.Command[1:]...)...)
	client := goredis.NewClient(&goredis.Options{Addr: fmt.Sprintf("127.0.0.1:%d", r.port), DisableIdentity: true})
	defer client.Close()
	for name, want := range map[string]string{"appendonly": "yes", "appendfsync": "always",
		"maxmemory-policy": "noeviction"} {
		if got, err := client.ConfigGet(t.Context(), name).Result(); err != nil || got[name] != want {
			t.Errorf("%s is %q, %v; want %s", name, got[name], err, want)
		}
	}
	volume, at, _ := strings.Cut(slices.Concat(store.Volumes, []string{""})[0], ":")
	if _, known := c.Volumes[volume]; !known || at != "/data" {
		t.Errorf("volumes %v: want a named one at /data, where the image's server keeps its files", store.Volumes)
	}
}
