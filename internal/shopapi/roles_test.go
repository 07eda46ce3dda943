package shopapi_test

import (
	"net/http"
	"strings"
	"testing"
)

// A list of leaders or crew replaces the one before; nobody vanishes by being left out.
func TestWhoLeadsIsChangedByAPatch(t *testing.T) {
	s := newStage(t)
	b := s.book()
	type people struct {
		Leaders, Crew, Divers []struct {
			ID, Name, Card string
		}
	}
	var got people
	s.ask("PATCH", b.path(""),
		`{"leaders":[{"name":"marit"},{"name":"Rui","card":"seen"}],"crew":[{"name":"Sefa"}]}`).want(http.StatusOK)
	s.ask("GET", b.path(""), "").want(http.StatusOK).into(&got)
	names := func(list []struct{ ID, Name, Card string }) string {
		var all []string
		for _, p := range list {
			all = append(all, p.Name)
		}
		return strings.Join(all, " ")
	}
	if names(got.Leaders) != "marit Rui" || names(got.Crew) != "Sefa" || !strings.Contains(names(got.Divers), "Inês") {
		t.Fatalf("leaders %s, crew %s, divers %s", names(got.Leaders), names(got.Crew), names(got.Divers))
	}
	if marit := b.diver(t, "Marit"); got.Leaders[0].ID != string(marit.ID) || got.Leaders[0].Card != string(marit.Card) {
		t.Errorf("Marit is somebody else, or lost the card: %+v", got.Leaders[0])
	}
	s.ask("PATCH", b.path(""), `{"crew":[]}`).want(http.StatusOK).into(&got)
	if len(got.Leaders) != 2 || len(got.Crew) != 0 || !strings.Contains(names(got.Divers), "Sefa") {
		t.Errorf("leaders %s, crew %s, divers %s", names(got.Leaders), names(got.Crew), names(got.Divers))
	}
	for patch, at := range map[string]string{
		`{"leaders":[]}`: "/leaders", `{"leaders":null}`: "/leaders", `{"leaders":[{"card":"seen"}]}`: "/leaders/0/name",
		`{"leaders":[{"name":"Rui"}],"crew":[{"name":"rui"}]}`:                                "/crew/0/name",
		`{"leaders":[{"name":"Rui","card":"maybe"}]}`:                                         "/leaders/0/card",
		`{"leaders":[{"name":"A"},{"name":"B"},{"name":"C"},{"name":"D"},{"name":"E"}]}`:      "/leaders",
		`{"leaders":[{"name":"Rui"},{"name":"New","cylinders":[{"asked":32,"label":"17"}]}]}`: "/leaders/1/cylinders/0/label",
	} {
		if found := s.ask("PATCH", b.path(""), patch).want(http.StatusUnprocessableEntity).pointers(); found[at] == "" {
			t.Errorf("%s: %v, want a fault at %s", patch, found, at)
		}
	}
}
