// Package message is what the bot can say, as data. A Message is lines and
// buttons; a Line is a catalogue key with named values. Nothing here is a
// sentence until Renderer makes one, in the reader's language and units and
// for the channel's markup:
//
//	conversation  --Message-->  outbox (JSON)  --Renderer-->  text of a channel
//
// The catalogues are TOML files in catalogue/, one per area and language
// (diver.en.toml, leader.en.toml, findings.en.toml, ...), read by go-i18n.
//
// It is one package because a value is decided by what it is, not by who says it: one
// writer rounds every depth and isolates every name. Its files:
//
//   - as data: message.go, values.go (a line's values), linked.go (links), redact.go (a
//     name taken out);
//   - as text: render.go, writer.go, value.go, depth.go, time.go, name.go, label.go,
//     bidi.go, unbroken.go (what no line may break), language.go;
//   - what is said alike everywhere: verdict.go, cleared.go, finding.go, plan.go,
//     reason.go, differs.go (a broken signature), faulty.go (a value that is refused);
//   - picture.go: a chart as data; sample.go: every sentence, to be read through.
package message

import (
	"math"
	"time"

	"gasmuster/internal/gas"
)

// Style is how a line stands out; words carry the meaning, never style alone.
type Style string

// The styles of a line.
const (
	Body   Style = ""       // plain
	Strong Style = "strong" // the verdict, the one thing to do
	Table  Style = "table"  // monospaced, consecutive lines form one block
	Quiet  Style = "quiet"  // cautions, sources
	Gap    Style = "gap"    // an empty line; Key is ""
)

// Line is one sentence or table row.
type Line struct {
	Key    string `json:"k,omitempty"`
	Values Values `json:"a,omitempty"`
	Style  Style  `json:"s,omitempty"`
}

// Args are the named values that a line is given; a catalogue text uses them as
// {{.name}}. The name "count" also chooses the plural form.
type Args map[string]Value

// Button offers a choice, never a measured value. Do is what comes back: a
// verb and arguments separated by blanks ("undo r12"), at most 48 bytes of
// ASCII, to be judged against the state of the moment it comes back.
type Button struct {
	Label Line   `json:"l"`
	Do    string `json:"d"`
	URL   string `json:"u,omitempty"` // instead of Do: a link
}

// Message is one thing said to one person.
type Message struct {
	Lines   []Line     `json:"lines"`
	Buttons [][]Button `json:"buttons,omitempty"` // rows
	// Commands asks the channel to offer the person's command menu: "diver" or "leader".
	Commands string `json:"commands,omitempty"`
	// Picture is shown besides the text, which says the same without it.
	Picture *Picture `json:"picture,omitempty"`
	// Photo is the channel's own id of a photo that somebody sent, shown besides the
	// text; another channel shows none.
	Photo string `json:"photo,omitempty"`
	// Code is a link that is shown as a QR code besides the text, to be opened by
	// other phones; see OpenLink.
	Code Value `json:"code,omitzero"`
}

// Kind tells how a value is written. It is stored as its number: a new kind comes
// after all others, and no number is used again. One that is none shows as a gap.
type Kind uint8

// Value is one argument of a line. A message has dozens: what few kinds have
// stands apart.
type Value struct {
	Kind  Kind     `json:"k"`
	N     float64  `json:"n,omitempty"`
	S     string   `json:"s,omitempty"`
	U     gas.Unit `json:"u,omitempty"`
	*Rare          // of clocks, days, moments, lists, lines and some limits
}

// Rare is what few kinds of values have; it is stored as a part of its value.
type Rare struct {
	T    time.Time `json:"t,omitzero"`
	L    []Value   `json:"l,omitempty"`
	Line *Line     `json:"i,omitempty"`
	Plan float64   `json:"p,omitempty"` // beside a limit: the deeper plan, in its unit
}

// rare is what v has of it, nothing when it has none.
func (v Value) rare() Rare {
	if v.Rare == nil {
		return Rare{}
	}
	return *v.Rare
}

// The kinds of values.
const (
	kindNone     Kind = iota
	KindName          // a name or what somebody typed: escaped, bidi controls stripped
	KindText          // what somebody wrote to be passed on: as a name, but longer
	KindCount         // a whole number
	KindPercent       // a reading: as measured, one decimal at least: 32.0 %
	KindBlend         // a requested blend: whole when whole: 32 %, "air" for 21
	KindPoints        // a difference of percentages, one decimal
	KindLimit         // a depth limit: whole, to the safe side in the reader's unit
	KindPlanned       // a planned depth, rounded up in another unit
	KindMinutes       // a time limit, whole minutes rounded down
	KindPPO2          // atm, two decimals, rounded up
	KindCelsius       // a temperature, in Fahrenheit for readers of feet
	KindClock         // hour and minute in zone S
	KindDay           // weekday and date in zone S, of something soon
	KindMoment        // weekday, date, time, zone and offset
	KindList          // L joined in the reader's language
	KindLine          // another line
	KindCode          // a command, a URL or a code: written as it is
	KindPage          // the link to the page of person S, of invite generation N: see Linked
	KindChat          // the link that takes them into the chat, likewise
	KindRecord        // the link to the record of the trip, likewise
	KindDate          // day, month and year in zone S
	KindOpen          // the link to the page of the trip's open invite, of generation N
	KindOpenChat      // the same into the chat
	KindMuster        // the link to the muster sheet on the page of person S, of invite generation N
	kindPart          // a piece of a value that is put together by the catalogue
	KindBottom        // the deepest point that can be reached: whole, to the deeper side in the reader's unit
)

// kindWords are the kinds as they are named.
var kindWords = [...]string{kindNone: "", KindName: "name", KindText: "text", KindCount: "count",
	KindPercent: "percent",
	KindBlend:   "blend", KindPoints: "points", KindLimit: "limit", KindPlanned: "planned", KindMinutes: "minutes",
	KindPPO2: "ppo2", KindCelsius: "celsius", KindClock: "clock", KindDay: "day", KindMoment: "moment", KindList: "list",
	KindLine: "line", KindCode: "code", KindPage: "page", KindChat: "chat", KindRecord: "record", KindDate: "date",
	KindOpen: "open", KindOpenChat: "open-chat", KindMuster: "muster",
	kindPart: "part", KindBottom: "bottom"}

// String is the name of a kind, "" of one that is none.
func (k Kind) String() string {
	if int(k) >= len(kindWords) {
		return ""
	}
	return kindWords[k]
}

// Name is a person, a site, a label or quoted input.
func Name(s string) Value { return Value{Kind: KindName, S: s} }

// Text is what somebody wrote to be passed on: a reason, a shop's message.
func Text(s string) Value { return Value{Kind: KindText, S: s} }

// Count is a whole number.
func Count(n int) Value { return Value{Kind: KindCount, N: float64(n)} }

// Percent is a measured reading.
func Percent(p gas.Percent) Value { return Value{Kind: KindPercent, N: float64(p)} }

// Blend is a requested blend.
func Blend(p gas.Percent) Value { return Value{Kind: KindBlend, N: float64(p)} }

// Points is a difference of two percentages.
func Points(v float64) Value { return Value{Kind: KindPoints, N: v} }

// Limit is a depth not to go below.
func Limit(d gas.Depth) Value { return Value{Kind: KindLimit, N: d.Value, U: d.Unit} }

// LimitBeside is a limit that stands beside a plan. Read in the other unit it stays
// shallower than a plan that is deeper: of 100 ft and 99 ft both are 30 m else.
func LimitBeside(d, plan gas.Depth) Value {
	v, other := Limit(d), gas.Metres
	if d.Unit == gas.Metres {
		other = gas.Feet
	}
	if plan.Unit == d.Unit && plan.DeeperThan(d.Floor()) && !PlannedIn(plan, other).DeeperThan(d.LimitIn(other)) {
		v.Rare = &Rare{Plan: plan.Value}
	}
	return v
}

// Planned is a planned depth.
func Planned(d gas.Depth) Value { return Value{Kind: KindPlanned, N: d.Value, U: d.Unit} }

// Bottom is the deepest point that can be reached at a site: 130 ft are 40 m, never 39.
func Bottom(d gas.Depth) Value { return Value{Kind: KindBottom, N: d.Value, U: d.Unit} }

// Minutes is a time not to exceed, of which only the whole minutes are kept: no
// other unit is shown, and a message is small.
func Minutes(v float64) Value { return Value{Kind: KindMinutes, N: math.Floor(v + lastDigit)} }

// PPO2 is a partial pressure.
func PPO2(p gas.PPO2) Value { return Value{Kind: KindPPO2, N: float64(p)} }

// Celsius is a temperature, given in degrees Celsius.
func Celsius(v float64) Value { return Value{Kind: KindCelsius, N: v} }

// Clock is a time of day, Day a weekday and date, Date a date with its year,
// Moment all of it with the zone; zone is an IANA name. Whatever is kept or
// printed carries the year.
func Clock(t time.Time, zone string) Value { return Value{Kind: KindClock, S: zone, Rare: &Rare{T: t}} }

// Day is a date in zone.
func Day(t time.Time, zone string) Value { return Value{Kind: KindDay, S: zone, Rare: &Rare{T: t}} }

// Date is a date with its year in zone, for what is kept: a label, a record.
func Date(t time.Time, zone string) Value { return Value{Kind: KindDate, S: zone, Rare: &Rare{T: t}} }

// Moment is a date and time in zone, with the zone and its offset said.
func Moment(t time.Time, zone string) Value {
	return Value{Kind: KindMoment, S: zone, Rare: &Rare{T: t}}
}

// List joins values in the reader's language.
func List(v ...Value) Value { return Value{Kind: KindList, Rare: &Rare{L: v}} }

// Of is another line as a value.
func Of(l Line) Value { return Value{Kind: KindLine, Rare: &Rare{Line: &l}} }

// Code is a command, URL or code.
func Code(s string) Value { return Value{Kind: KindCode, S: s} }

// Say is a body line; key is that of the catalogue.
func Say(key string, a Args) Line { return Line{Key: key, Values: a.values()} }

// Loud is a strong line.
func Loud(key string, a Args) Line { return Line{Key: key, Values: a.values(), Style: Strong} }

// Row is a row of a table.
func Row(key string, a Args) Line { return Line{Key: key, Values: a.values(), Style: Table} }
