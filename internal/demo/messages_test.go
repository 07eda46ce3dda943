package demo

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gasmuster/internal/message"
)

// The page has the played day's messages and every sentence, in every language,
// and says which no practitioner has read.
func TestMessagesPage(t *testing.T) {
	file := filepath.Join(t.TempDir(), "page.html")
	var out, errs strings.Builder
	if code := run(context.Background(), []string{"--messages", "--to", file}, &out, &errs); code != exitOK {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	page := string(b)
	if !strings.Contains(out.String(), file) {
		t.Errorf("%q does not name the file", out.String())
	}
	for _, tag := range message.Languages() {
		for _, form := range []string{"m chat", "ft chat", "m plain", "ft plain"} {
			if n := strings.Count(page, `<div class="`+tag+" "+form+`">`); n < 25 {
				t.Errorf("%s %s: %d whole messages", tag, form, n)
			}
		}
	}
	for _, s := range message.Sentences() {
		if !strings.Contains(page, "<h3>"+s.Key+"</h3>") {
			t.Errorf("%s is not on the page", s.Key)
		}
	}
	for _, want := range []string{`dir="rtl"`, "not yet reviewed by a practitioner", "✅ GO", "⛔"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, never := range []string{"⟦", "<script", "&lt;b&gt;"} {
		if strings.Contains(page, never) {
			t.Errorf("the page has %q", never)
		}
	}
}

func TestMessagesPageThatCanNotBeWritten(t *testing.T) {
	var out, errs strings.Builder
	code := run(context.Background(), []string{"--messages", "--to", filepath.Join(t.TempDir(), "no", "such.html")}, &out,
		&errs)
	if code != exitError || !strings.Contains(errs.String(), "--to FILE") {
		t.Errorf("exit %d: %q", code, errs.String())
	}
	errs.Reset()
	if code := run(context.Background(), []string{"--messages", "--play"}, &out, &errs); code != exitUsage ||
		!strings.Contains(errs.String(), "accepted") {
		t.Errorf("exit %d: %q", code, errs.String())
	}
}
