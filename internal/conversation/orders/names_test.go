package orders

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// tripOf is a trip with people of these names.
func tripOf(names ...string) *roster.Trip {
	d := roster.Change(roster.NewTrip("abcdefghij", "s1"))
	for _, name := range names {
		d.AddPerson(&roster.Person{Name: name}, "", time.Date(2027, 5, 15, 7, 30, 0, 0, time.UTC))
	}
	return d.Done()
}

func TestNamesAreFound(t *testing.T) {
	trip := tripOf("Inês", "Tomasz", "Ana Maria", "Ana Paula", "Kenji", "Ana", "Lucía de la Cruz")
	for _, tt := range []struct {
		typed, rest string
		want        []string
	}{
		{"tomasz", "", []string{"Tomasz"}},
		{"Tom 17 32.4", "17 32.4", []string{"Tomasz"}},
		{"ines", "", []string{"Inês"}},
		{"INÊS x", "x", []string{"Inês"}},
		{"ana", "", []string{"Ana"}},
		{"ana m cold", "cold", []string{"Ana Maria"}},
		{"an", "", []string{"Ana Maria", "Ana Paula", "Ana"}},
		{"paula", "", []string{"Ana Paula"}},
		{"lucia de la cruz 12", "12", []string{"Lucía de la Cruz"}},
		{"cruz", "", []string{"Lucía de la Cruz"}},
		{"zoltan 12", "12", nil},
		{"", "", nil},
	} {
		t.Run(tt.typed, func(t *testing.T) {
			found, _, rest := Named(trip, tt.typed)
			var got []string
			for _, p := range found {
				got = append(got, p.Name)
			}
			if !cmp.Equal(got, tt.want) || rest != tt.rest {
				t.Errorf("Named(%q): got %v and %q, want %v and %q", tt.typed, got, rest, tt.want, tt.rest)
			}
		})
	}
}
