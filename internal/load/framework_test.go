package load

import (
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// frameworks are the addresses of bots of npm's grammy with its session storage in
// Redis, in one process and in two; see framework/bot.cjs. There are none where
// node, npm or the registry are not there.
func frameworks(b *testing.B) (addresses []string) {
	dir, err := installed(b)
	for n := 1; n <= 2 && err == nil; n++ {
		var address string
		address, err = framework(b, dir, n)
		addresses = append(addresses, address)
	}
	if err != nil {
		b.Logf("no framework's bot to compare with: %v", err)
		return nil
	}
	return addresses
}

func framework(b *testing.B, dir string, processes int) (string, error) {
	address := freeAddress(b)
	_, port, _ := net.SplitHostPort(address)
	cmd := exec.Command("node", filepath.Join(dir, "bot.cjs"), port, startRedis(b, "everysec").socket(), webhookSecret,
		strconv.Itoa(processes))
	if err := cmd.Start(); err != nil {
		return "", err
	}
	b.Cleanup(func() {
		_ = cmd.Process.Kill() // its processes end with it
		_ = cmd.Wait()
	})
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		resp, err := http.Post("http://"+address, "application/json", strings.NewReader("{}"))
		if err == nil {
			resp.Body.Close()                  // refused without the secret
			time.Sleep(200 * time.Millisecond) // for the other process
			return address, nil
		}
		if time.Now().After(end) {
			return "", fmt.Errorf("it does not listen: %w", err)
		}
	}
}

// installed is a folder with the bot and the packages of its lock file.
func installed(b *testing.B) (string, error) {
	dir := b.TempDir()
	for _, name := range []string{"bot.cjs", "package.json", "package-lock.json"} {
		file, err := os.ReadFile(filepath.Join("framework", name))
		if err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), file, 0o600); err != nil {
			b.Fatal(err)
		}
	}
	cmd := exec.Command("npm", "ci", "--no-audit", "--no-fund", "--ignore-scripts")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("npm ci: %w: %.200s", err, out)
	}
	return dir, nil
}

// freeAddress is one of this machine that nobody listens on.
func freeAddress(b *testing.B) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}
