package reply

import (
	"fmt"
	"slices"
	"strings"
)

// Phrases that are made of parts, each of which has many forms: "a bit rich",
// "I wrote it on the tape". A file lists the parts, and every way to put one of
// each behind another is a phrase of its role.

// madeFile is such a family; "" among the forms of a part leaves it out.
type madeFile struct {
	Role  role       `toml:"role"`
	Glue  string     `toml:"glue"` // between parts; a blank where it is not given, "none" for none
	Parts [][]string `toml:"parts"`
	Lists []string   `toml:"lists"` // the other lists that each phrase stands in as well
}

// addMade takes families of phrases in, after the lists: what a list has, stays.
func (v *vocabulary) addMade(families []madeFile) error {
	lists := map[string]map[string]bool{"mine": v.mine, "calibrates": v.calibrates, "thens": v.thens, "noted": v.noted,
		"inquiries": v.inquiries, "helpers": v.helpers, "softeners": v.softeners,
		"follow-ups": v.followUps, "stood-by": v.stoodBy, "introduces": v.introduces, "farewells": v.farewells,
		"waits": v.waits, "settles": v.settles, "passes": v.passes}
	for _, f := range families {
		if i := slices.IndexFunc(f.Lists, func(l string) bool { return lists[l] == nil }); i >= 0 {
			return fmt.Errorf("made phrases for the unknown list %q", f.Lists[i])
		}
		if !slices.Contains(wordLists, f.Role) && !strings.HasPrefix(string(f.Role), intentPrefix) {
			return fmt.Errorf("made phrases of the unknown role %q", f.Role)
		}
		glue := " "
		if f.Glue == "none" {
			glue = ""
		}
		for _, w := range putTogether(f.Parts, glue) {
			for _, w := range []string{v.typed(w), v.unmarked(w)} {
				if _, listed := v.words[w]; !listed && w != "" {
					v.words[w] = f.Role
					v.longest = max(v.longest, 1+strings.Count(w, " "))
				}
				for _, list := range f.Lists {
					lists[list][w] = true
				}
			}
		}
	}
	return nil
}

// unmarked is a phrase of the file as it is typed without its apostrophes: "im on the
// dock". A single word may be another one then.
func (v *vocabulary) unmarked(phrase string) string {
	if !strings.Contains(phrase, " ") {
		return v.typed(phrase)
	}
	return v.typed(strings.ReplaceAll(fold(phrase), "'", ""))
}

// putTogether is every way to put one form of each part behind another.
func putTogether(parts [][]string, glue string) []string {
	all := []string{""}
	for _, forms := range parts {
		var next []string
		for _, before := range all {
			for _, form := range forms {
				between := glue
				if before == "" || form == "" {
					between = ""
				}
				next = append(next, before+between+form)
			}
		}
		all = next
	}
	return all
}
