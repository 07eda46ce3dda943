package conversation

import (
	"gasmuster/internal/asjson"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// What every reading tells the shop's systems is written without reflection;
// all else is rare, and a map.

// AppendJSON appends h as it is stored: byte for byte what encoding/json makes
// of it. It panics on data that JSON can't hold and on a year beyond 9999.
func (h Happening) AppendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "type"), h.Type)
	b = asjson.Time(asjson.Field(b, "timestamp"), h.At)
	b = asjson.Field(b, "data")
	if data, ok := h.Data.(appender); ok {
		b = data.appendJSON(b)
	} else {
		b = asjson.Any(b, h.Data)
	}
	return append(b, '}')
}

// appender is data that writes itself, byte for byte as encoding/json does.
type appender interface{ appendJSON(b []byte) []byte }

// readingNews is the data of reading.recorded. A field that is added is also
// appended below.
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

func (n readingNews) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "analyser"), n.Analyser)
	b = asjson.Float(asjson.Field(b, "asked"), float64(n.Asked))
	b = asjson.String(asjson.Field(b, "cylinder"), string(n.Cylinder))
	b = asjson.String(asjson.Field(b, "entrant"), string(n.Entrant))
	b = asjson.String(asjson.Field(b, "label"), n.Label)
	b = asjson.Float(asjson.Field(b, "percent"), float64(n.Percent))
	b = asjson.String(asjson.Field(b, "person"), string(n.Person))
	b = asjson.String(asjson.Field(b, "reading"), string(n.Reading))
	b = asjson.String(asjson.Field(b, "stage"), n.Stage.String())
	return append(b, '}')
}

// verdictNews is the data of verdict.changed. A field that is added is also
// appended below.
type verdictNews struct {
	Person roster.PersonID `json:"person"`
	Status gas.Status      `json:"status"`
}

func (n verdictNews) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "person"), string(n.Person))
	b = asjson.String(asjson.Field(b, "status"), n.Status.String())
	return append(b, '}')
}
