package shopapi

import (
	"os"
	"strings"
	"testing"

	"gasmuster/internal/booking"
)

// People read in docs/csv.md and programs in openapi.json what the columns are.
func TestColumnsAreDocumented(t *testing.T) {
	document, err := os.ReadFile("../../docs/csv.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range booking.Columns {
		if !strings.Contains(string(openAPI), c.Name) {
			t.Errorf("openapi.json does not name column %s", c.Name)
		}
		if n := c.Name; strings.HasPrefix(n, "dive") && n != "dive" && n != "diver" && n != "diver_units" {
			if n = "dive1_" + n[6:]; strings.HasSuffix(n, "interval") {
				n = "dive2_interval"
			}
			if !strings.Contains(string(document), n) {
				t.Errorf("docs/csv.md does not name column %s", n)
			}
		} else if !strings.Contains(string(document), "`"+n+"`") {
			t.Errorf("docs/csv.md does not name column `%s`", n)
		}
	}
}
