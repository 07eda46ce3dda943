package app

import (
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
)

// From an empty store one command makes a host; a name is taken once, and a
// removed host's link is not shown any more.
func TestHosts(t *testing.T) {
	m := miniredis.RunT(t)
	cfg := Config{RedisURL: Secret("redis://" + m.Addr()), Secret: "a secret that is long enough for this",
		PublicURL: "https://charter.example"}
	h, closeAll, err := OpenHosts(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(closeAll)
	h.now = func() time.Time { return time.Date(2027, 5, 1, 9, 0, 0, 0, time.UTC) }
	ines, err := h.Add(t.Context(), " Inês ", "")
	if err != nil || ines.Name != "Inês" || ines.ShopName != DefaultShop || ines.Page != "https://charter.example/h/"+
		ines.Code {
		t.Fatalf("%+v, %v", ines, err)
	}
	for _, wrong := range [][2]string{{"Inês", ""}, {"", ""}, {strings.Repeat("x", 81), ""}, {"Nuno", "nowhere"}} {
		if _, err := h.Add(t.Context(), wrong[0], wrong[1]); err == nil {
			t.Errorf("a host %q of shop %q was made", wrong[0], wrong[1])
		}
	}
	if _, err := h.shops.Add(t.Context(), "Harbour"); err != nil {
		t.Fatal(err)
	}
	if _, err := h.Add(t.Context(), "Nuno", ""); err == nil || !strings.Contains(err.Error(), "--shop") {
		t.Errorf("of two shops none was named: %v", err)
	}
	if nuno, err := h.Add(t.Context(), "Nuno", "Harbour"); err != nil || nuno.ShopName != "Harbour" {
		t.Errorf("%+v, %v", nuno, err)
	}
	if list, err := h.List(t.Context()); err != nil || len(list) != 2 || list[0].Code != ines.Code {
		t.Errorf("%+v, %v", list, err)
	}
	if err := h.Remove(t.Context(), "Inês"); err != nil {
		t.Error(err)
	}
	if err := h.Remove(t.Context(), "Inês"); err == nil {
		t.Error("removed twice")
	}
}
