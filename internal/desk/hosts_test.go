package desk_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"gasmuster/internal/delivery"
)

// The desk makes, renews and takes back the links of its own hosts, and touches nobody
// else's.
func TestHosts(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	link := func() string {
		m := regexp.MustCompile(`value="https://gas\.example/h/([^"]+)"`).FindStringSubmatch(
			s.get("/desk/settings").want(200).Body)
		if m == nil {
			return ""
		}
		return m[1]
	}
	opens := func(code string) bool {
		d := delivery.NewDoor(delivery.DoorConfig{Store: s.store, Addresses: s.store.Addresses(), Hosts: s.store.Hosts(),
			Invites: delivery.NewInvites("a secret for tests")})
		h, err := d.Hosted(t.Context(), code)
		return err == nil && h.Shop == "one"
	}
	s.post("/desk/settings", url.Values{"do": {"host-add"}, "name": {" Inês <b> "}}).want(http.StatusSeeOther)
	first := link()
	if !opens(first) {
		t.Fatalf("the link %q opens nothing", first)
	}
	s.post("/desk/settings", url.Values{"do": {"host-add"}, "name": {"Inês <b>"}}).want(422).says(
		"There is a host of that name already")
	s.post("/desk/settings", url.Values{"do": {"host-add"}, "name": {"  "}}).want(422).says("1 to 80 characters")
	id := regexp.MustCompile(`name="host" value="([^"]+)"`).FindStringSubmatch(s.get("/desk/settings").Body)[1]

	s.signIn(keyTwo)
	if page := s.get("/desk/settings").want(200).Body; strings.Contains(page, "Inês") {
		t.Error("another shop sees the host")
	}
	for _, do := range []string{"host-new", "host-off"} {
		s.post("/desk/settings", url.Values{"do": {do}, "host": {id}}).want(422)
	}
	if !opens(first) {
		t.Fatal("another shop took the link back")
	}

	s.signIn(keyOne)
	s.post("/desk/settings", url.Values{"do": {"host-new"}, "host": {id}}).want(http.StatusSeeOther)
	second := link()
	if opens(first) || !opens(second) {
		t.Error("a renewed link: the old one opens, or the new one does not")
	}
	s.post("/desk/settings", url.Values{"do": {"host-off"}, "host": {id}}).want(http.StatusSeeOther)
	if link() != "" || opens(second) {
		t.Error("a link that was taken back opens")
	}
	s.post("/desk/settings", url.Values{"do": {"host-off"}, "host": {id}}).want(422).says("taken back already")
}
