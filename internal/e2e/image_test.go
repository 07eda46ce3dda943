package e2e

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// image is what the Dockerfile makes, as a directory, with what it says about
// running it.
type image struct {
	root          string
	user          string   // "uid:gid"
	serve, health []string // what a container runs, and what asks it for its health
}

var instruction = regexp.MustCompile(`(?m)^(FROM|COPY|RUN|USER|HEALTHCHECK|ENTRYPOINT|CMD) (.*)$`)

// buildImage does the Dockerfile's steps by hand: it builds as the first stage does,
// and copies what the last one takes from it.
func buildImage(t *testing.T) image {
	t.Helper()
	raw, err := os.ReadFile("../../Dockerfile")
	if err != nil {
		t.Fatal(err)
	}
	im, words := image{root: t.TempDir()}, map[string][]string{}
	if err := os.Chmod(im.root, 0o755); err != nil {
		t.Fatal(err)
	}
	stage := t.TempDir()
	for _, m := range instruction.FindAllStringSubmatch(string(raw), -1) {
		name, rest := m[1], m[2]
		switch {
		case name == "RUN" && strings.HasPrefix(rest, "go mod download"): // the tests have them
		case name == "RUN":
			cmd := exec.Command("sh", "-c", strings.Replace(rest, "-o /", "-o "+stage+"/", 1))
			cmd.Dir = "../.."
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%s: %v\n%s", rest, err, out)
			}
		case name == "COPY" && strings.HasPrefix(rest, "--from=build "):
			from := strings.Fields(rest)
			im.take(t, stage, from[1], from[2])
		case name == "USER":
			im.user = rest
		default:
			var list []string
			if _, array, found := strings.Cut(rest, "["); found && json.Unmarshal([]byte("["+array), &list) == nil {
				words[name] = list
			}
		}
	}
	im.serve, im.health = append(words["ENTRYPOINT"], words["CMD"]...), words["HEALTHCHECK"]
	if im.user == "" || len(im.serve) < 2 || len(im.health) == 0 {
		t.Fatalf("user %q, runs %v, asks %v: not all is read", im.user, im.serve, im.health)
	}
	return im
}

// take copies what the stage before made, or what is the system's own: a file, or a
// folder with all that is in it.
func (im image) take(t *testing.T, stage, from, to string) {
	t.Helper()
	source := filepath.Join(stage, from)
	info, err := os.Stat(source)
	if errors.Is(err, fs.ErrNotExist) {
		source = from
		info, err = os.Stat(source)
	}
	if err != nil {
		t.Fatal(err)
	}
	at := filepath.Join(im.root, to)
	if info.IsDir() {
		if err := os.CopyFS(at, os.DirFS(source)); err != nil {
			t.Fatal(err)
		}
		return
	}
	if strings.HasSuffix(to, "/") {
		at = filepath.Join(at, filepath.Base(from))
	}
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(source)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(at, raw, 0o755); err != nil {
		t.Fatal(err)
	}
}

// contained runs its last arguments as the compose file has a container run them: with
// nothing but the image, which can't be written to, as the image's user, without any
// rights and without a way to new ones. It stays one process all the way.
const contained = `root=$1 user=$2; shift 2
mount --bind "$root" "$root" && mount -o remount,bind,ro "$root" || exit 97
! touch "$root/written" 2>/dev/null || exit 98
exec setpriv --no-new-privs --bounding-set=-all,+sys_chroot,+setuid,+setgid chroot --userspec="$user" "$root" "$@"`

// run is a command in the image, with these settings and nothing else.
func (im image) run(env []string, command ...string) *exec.Cmd {
	cmd := exec.Command("unshare", append([]string{"--mount", "sh", "-c", contained, "contained", im.root, im.user},
		command...)...)
	cmd.Env = append([]string{"PATH=" + os.Getenv("PATH")}, env...)
	return cmd
}

// The image is built and run by hand, as the Dockerfile and the compose file say. Its
// health is what readiness is; told to stop in the middle of a busy morning it stops
// in order, and nothing that was acknowledged is missing, nothing is said twice.
func TestImage(t *testing.T) {
	if os.Getenv("E2E_FULL") == "" {
		t.Skip("make test-all runs it")
	}
	if out, err := exec.Command("unshare", "--mount", "true").CombinedOutput(); err != nil || os.Geteuid() != 0 {
		t.Skipf("SKIPPED: a mount namespace takes root and unshare: %v %s", err, out)
	}
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 3 * time.Minute})
	im := buildImage(t)
	settings := readCompose(t).settings(t, im.root)
	port := testport.Free(t)
	for name, value := range map[string]string{"REDIS_URL": r.url(), "PUBLIC_URL": localURL(port),
		"TELEGRAM_API_URL": api.URL(),
		"SHOP_KEY":         shopKey, "QUIET": "none"} {
		settings["GASMUSTER_"+name] = value
	}
	settings["GASMUSTER_LISTEN"] = strings.TrimPrefix(localURL(port), "http://")
	env := environ(settings)
	health := func() error { return im.run(env, im.health...).Run() }
	start := func() *bot {
		b := newBot(t, localURL(port), im.run(env, im.serve...))
		b.begin(api)
		if err := health(); err != nil {
			t.Errorf("ready, and its health is asked for: %v", err)
		}
		return b
	}
	if health() == nil {
		t.Error("healthy before it was started")
	}
	b := start()
	m := busyMorning(t, b, api, 10, 20)
	for _, tr := range m.trips { // whoever joins is told of the trip
		announce(t, b, tr)
	}
	said := make(chan struct{})
	go func() {
		defer close(said)
		for _, d := range m.divers {
			d.user.Start(d.code)
			d.user.Send(d.text())
		}
	}()
	api.Wait(func() bool { return m.acknowledged(api) > len(m.divers)/10 })
	b.stop()
	<-said
	acknowledged := m.acknowledged(api)
	if health() == nil {
		t.Error("healthy after it was stopped")
	}
	b = start()
	if !api.Settled() || !api.Wait(m.arrived) {
		t.Errorf("%d updates never acknowledged, or an answer never came", api.Pending())
	}
	s := m.count(b, api)
	t.Logf("stopped with %d of %d readings acknowledged: %v", acknowledged, len(m.divers), s)
	if s.lost > 0 || s.repeated > 0 {
		t.Errorf("%v, want nothing lost or repeated", s)
	}
}
