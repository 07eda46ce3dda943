package message

import (
	"encoding/json"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/asjson/asjsontest"
	"gasmuster/internal/gas"
)

// TestAppendJSON holds the stored form against encoding/json. Messages are
// filled by their types, so that a field that is forgotten in one of the two is
// found.
func TestAppendJSON(t *testing.T) {
	kinds := allKinds()
	rapid.Check(t, func(t *rapid.T) {
		var m Message
		asjsontest.Fill(t, &m, kinds, []gas.Unit{gas.Metres, gas.Feet}, byName)
		checkStored(t, m)
	})
}

func allKinds() []Kind {
	var kinds []Kind
	for k := range kindWords {
		kinds = append(kinds, Kind(k))
	}
	return kinds
}

// byName are values as a line keeps them: each name once, in order.
func byName(vs Values) Values {
	a := Args{}
	for _, v := range vs {
		a[v.Name] = v.Value
	}
	return a.values()
}

func checkStored(t rapid.TB, m Message) {
	t.Helper()
	want, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	if got := string(m.AppendJSON([]byte("x"))); got != "x"+string(want) {
		t.Fatalf("got  %s\nwant x%s", got, want)
	}
}

// Many values have names in an order of their own.
func TestAppendJSONOfManyValues(t *testing.T) {
	a := Args{}
	for _, name := range "qwertyuiopasdfghjkl" {
		a[string(name)] = Count(len(a))
	}
	checkStored(t, Message{Lines: []Line{Say("many", a)}})
}

// storedBefore is a message as programs stored it that wrote every value by
// encoding/json, with a value of each kind.
const storedBefore = `{"lines":[{"k":"a","a":{` +
	`"blend":{"k":"blend","n":32},"celsius":{"k":"celsius","n":-1.5},"chat":{"k":"chat","n":1,"s":"p2"},` +
	`"clock":{"k":"clock","s":"Atlantic/Azores","t":"2027-05-15T08:30:00Z"},"code":{"k":"code","s":"/for"},"count":{"k":"count","n":3},` +
	`"day":{"k":"day","t":"2027-05-15T08:30:00.5+02:00"},"limit":{"k":"limit","n":111,"u":"ft"},` +
	`"line":{"k":"line","i":{"k":"b","a":{"x":{"k":"name","s":"\u003cAnn\u003e"}},"s":"quiet"}},` +
	`"list":{"k":"list","l":[{"k":"name","s":"Inês"},{"k":"text","s":"a\nb"}]},"minutes":{"k":"minutes","n":24},` +
	`"moment":{"k":"moment","s":"UTC","t":"2027-05-15T08:30:00Z"},"page":{"k":"page","n":2,"s":"p3"},"percent":{"k":"percent","n":32.4},` +
	`"planned":{"k":"planned","n":33.5},"points":{"k":"points","n":1.4},"ppo2":{"k":"ppo2","n":1.4}},"s":"strong"},{"s":"gap"}],` +
	`"buttons":[[{"l":{"k":"c"},"d":"undo r1"},{"l":{"k":"d"},"d":"","u":"https://charter.example/"}]],"commands":"leader",` +
	`"picture":{"t":{"k":"e"},"p":{"value":30,"unit":"m"},"b":{"value":36,"unit":"m"},"r":[{"n":{"k":"name","s":"Ann"},"c":{"k":"f"},"o":32,"m":{"value":33,"unit":"m"},"f":"fits"}],"d":true}}`

func TestStoredBefore(t *testing.T) {
	var m Message
	if err := json.Unmarshal([]byte(storedBefore), &m); err != nil {
		t.Fatal(err)
	}
	if got := string(m.AppendJSON(nil)); got != storedBefore {
		t.Errorf("got  %s\nwant %s", got, storedBefore)
	}
	seen := map[Kind]bool{}
	for _, v := range m.Lines[0].Values {
		seen[v.Kind] = true
		for _, one := range v.rare().L {
			seen[one.Kind] = true
		}
	}
	seen[m.Picture.Rows[0].Name.Kind] = true
	for k := KindName; k < kindPart; k++ {
		if !seen[k] {
			t.Errorf("%s is not read", k)
		}
	}
}

// BenchmarkStored is writing a message of a dozen lines for the store.
func BenchmarkStored(b *testing.B) {
	m := Message{Buttons: [][]Button{{{Label: Say("diver.undo", nil), Do: "undo r12"}}}}
	for range 4 {
		m.Lines = append(m.Lines, Verdict(gas.GoWithLimits, gas.M(30)), Line{Style: Gap},
			Say("diver.recorded", Args{"percent": Percent(32.4), "cylinder": Of(Say("diver.cylinder.label", Args{"label": Name("17")})), "at": Clock(sampleTime, "Atlantic/Azores")}))
	}
	b.Run("append", func(b *testing.B) {
		b.ReportAllocs()
		room := make([]byte, 0, 4096)
		for b.Loop() {
			m.AppendJSON(room)
		}
	})
	b.Run("encoding-json", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := json.Marshal(m); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkRead is reading a stored message.
func BenchmarkRead(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		var m Message
		if err := json.Unmarshal([]byte(storedBefore), &m); err != nil {
			b.Fatal(err)
		}
	}
}
