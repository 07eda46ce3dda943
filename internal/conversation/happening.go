package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Happening is news for the shop's systems, named as in the interface
// contract: reading.recorded, verdict.changed, request.changed,
// fill.questioned, diver.unreachable, dive.signed_off.
type Happening struct {
	Type string    `json:"type"`
	At   time.Time `json:"timestamp"`
	Data any       `json:"data"` // an object, its names in order; a struct where every reading brings one, else a map
}

// readingNews is the data of reading.recorded.
type readingNews struct {
	Analyser string            `json:"analyser"`
	Asked    gas.Percent       `json:"asked"`
	Cylinder roster.CylinderID `json:"cylinder"`
	Entrant  gas.Entrant       `json:"entrant"`
	Label    string            `json:"label"`
	Percent  gas.Percent       `json:"percent"`
	Person   roster.PersonID   `json:"person"`
	Reading  roster.ReadingID  `json:"reading"`
	Stage    gas.Stage         `json:"stage"`
}

// verdictNews is the data of verdict.changed. The name is put in when it is told,
// since nobody's name is stored with news.
type verdictNews struct {
	Dive    int             `json:"dive"`
	Person  roster.PersonID `json:"person"`
	Reasons []gas.Rule      `json:"reasons"` // the rules that weigh, gravest first, each once
	Status  gas.Status      `json:"status"`
}

func verdictNewsOf(c *roster.Clearance) verdictNews {
	news := verdictNews{Dive: c.Dive, Person: c.Person, Reasons: []gas.Rule{}, Status: c.Status}
	for _, f := range c.Verdict.Reasons() {
		if !slices.Contains(news.Reasons, f.Rule) {
			news.Reasons = append(news.Reasons, f.Rule)
		}
	}
	return news
}
