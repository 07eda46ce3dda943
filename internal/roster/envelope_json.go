package roster

import "gasmuster/internal/asjson"

// AppendJSON appends e as it is stored: byte for byte what encoding/json makes
// of it, at a fraction of the cost, since each event stores an envelope or more.
// A field that is added to Envelope is added here. The payload is appended as
// it is, and must be JSON as encoding/json writes it. It panics on a year beyond
// 9999.
func (e *Envelope) AppendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "id"), e.ID)
	b = asjson.String(asjson.Field(b, "trip"), string(e.Trip))
	b = asjson.OptString(b, "person", e.Person)
	b = e.Address.appendJSON(asjson.Field(b, "address"))
	b = asjson.Int(asjson.Field(b, "level"), int(e.Level))
	b = asjson.OptTrue(b, "safety", e.Safety)
	b = asjson.OptTime(b, "expires", e.Expires)
	b = asjson.OptString(b, "language", e.Language)
	b = asjson.OptString(b, "units", e.Units)
	b = asjson.Field(b, "payload")
	if e.Payload == nil {
		b = append(b, "null"...)
	}
	b = append(b, e.Payload...)
	b = asjson.OptInt(b, "attempts", e.Attempts)
	b = asjson.OptTrue(b, "unsure", e.Unsure)
	return append(b, '}')
}

func (a Address) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "channel"), a.Channel)
	b = asjson.String(asjson.Field(b, "id"), a.ID)
	return append(b, '}')
}
