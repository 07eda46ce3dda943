package shopapi_test

import (
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// What is generated from openapi.json, and with what.
const (
	generator     = "github.com/oapi-codegen/oapi-codegen/v2/cmd/oapi-codegen@v2.8.2"
	clientRuntime = "github.com/oapi-codegen/runtime@v1.9.0"
)

// A client that is generated from the document compiles, and plays a shop's day.
// It takes minutes and the module proxy, so that make test-all asks for it.
func TestAGeneratedClientPlaysADay(t *testing.T) {
	if os.Getenv("GASMUSTER_TEST_CLIENT") == "" {
		t.Skip("GASMUSTER_TEST_CLIENT is not set: see make test-all")
	}
	s := newStage(t)
	server := httptest.NewServer(s.handler)
	defer server.Close()
	document, err := filepath.Abs("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile("testdata/client.go.txt")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "main.go"), program, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"mod", "init", "example.com/client"},
		{"run", generator, "-generate", "types,client", "-package", "main", "-o", "client.go", document},
		{"get", clientRuntime},
		{"run", ".", server.URL, keyOne},
	} {
		run := exec.CommandContext(t.Context(), "go", args...) // #nosec G204 -- the words stand above
		run.Dir = dir
		if out, err := run.CombinedOutput(); err != nil {
			t.Fatalf("go %v: %v\n%s", args, err, out)
		}
	}
}
