package demo

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"
)

func TestTheDayEndsAsScripted(t *testing.T) {
	var out bytes.Buffer
	differed, err := play(context.Background(), &out, func(time.Duration) {})
	if err != nil || len(differed) > 0 {
		t.Errorf("%v\n%s\n%s", err, strings.Join(differed, "\n"), out.String())
	}
	if strings.Contains(out.String(), "⟦") {
		t.Errorf("a sentence is missing from the catalogue:\n%s", out.String())
	}
	if t.Failed() || testing.Verbose() {
		t.Log(out.String())
	}
}
