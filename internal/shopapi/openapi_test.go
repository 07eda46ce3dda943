package shopapi

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestRoutesAreThoseOfTheDocument(t *testing.T) {
	var doc struct {
		Paths map[string]map[string]any
	}
	if err := json.Unmarshal(openAPI, &doc); err != nil {
		t.Fatal(err)
	}
	documented := map[string][]string{}
	for path, item := range doc.Paths {
		for method := range item {
			if method != "parameters" && path != "/v1/openapi.json" {
				documented[path] = append(documented[path], strings.ToUpper(method))
			}
		}
		slices.Sort(documented[path])
	}
	delete(documented, "/v1/openapi.json")
	served := map[string][]string{}
	for path, methods := range routes {
		served[path] = slices.Sorted(maps.Keys(methods))
	}
	if diff := cmp.Diff(documented, served); diff != "" {
		t.Errorf("documented and served calls differ (-documented +served):\n%s", diff)
	}
}
