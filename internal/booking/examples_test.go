package booking

import (
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"
)

var documented = regexp.MustCompile("(?s)```csv(| refused [^\n]+)\n(.*?)```")

// The examples of docs/csv.md are read as it says.
func TestExamplesOfTheDocument(t *testing.T) {
	text, err := os.ReadFile("../../docs/csv.md")
	if err != nil {
		t.Fatal(err)
	}
	examples := documented.FindAllStringSubmatch(string(text), -1)
	if n := strings.Count(string(text), "```csv"); len(examples) != n || n < 4 {
		t.Fatalf("%d of %d examples can be read", len(examples), n)
	}
	now := time.Date(2027, 5, 1, 12, 0, 0, 0, time.UTC)
	for _, one := range examples {
		_, _, err := ReadTrip([]byte(one[2]), TypeCSV, nil, now)
		if want := strings.TrimPrefix(one[1], " refused "); want != "" || err != nil {
			refusedAt(t, err, want)
		}
	}
}

// refusedAt wants a refusal that names one place alone.
func refusedAt(t *testing.T, err error, place string) {
	t.Helper()
	var no *Refusal
	if !errors.As(err, &no) || len(no.Faults) != 1 {
		t.Fatalf("got %v, want one fault at %q", err, place)
	}
	f := no.Faults[0]
	at := f.Pointer
	if f.Row > 0 {
		at = fmt.Sprintf("row %d %s", f.Row, f.Column)
	}
	if at != place {
		t.Errorf("refused at %q: %s; want %q", at, f.Detail, place)
	}
}
