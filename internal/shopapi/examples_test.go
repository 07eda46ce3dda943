package shopapi_test

import (
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var example = regexp.MustCompile("(?s)```http\n([A-Z]+) ([^ \n]+)\n([0-9]+)\n(.*?)```")

// The examples of docs/api.md are sent in their order: the line of the request, the
// status of its answer, a body.
func TestExamplesOfTheDocument(t *testing.T) {
	text, err := os.ReadFile("../../docs/api.md")
	if err != nil {
		t.Fatal(err)
	}
	examples := example.FindAllStringSubmatch(string(text), -1)
	if n := strings.Count(string(text), "```http"); len(examples) != n || n < 10 {
		t.Fatalf("%d of %d examples can be read", len(examples), n)
	}
	s := newStage(t)
	var b trip
	named := strings.NewReplacer()
	for _, one := range examples {
		got := s.ask(one[1], named.Replace(one[2]), named.Replace(strings.TrimSpace(one[4])))
		if want, _ := strconv.Atoi(one[3]); got.Status != want {
			t.Fatalf("%s %s: got %d, want %d: %s", one[1], one[2], got.Status, want, got.Body)
		}
		if b.ID == "" {
			got.into(&b)
			named = strings.NewReplacer("TRIP", string(b.ID), "DIVER", string(b.Divers[0].ID), "CYLINDER",
				string(b.Divers[0].Cylinders[0].ID))
		}
	}
}
