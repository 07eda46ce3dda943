// Package reply understands what a person typed: readings, the few other
// things people answer, or what about it was unclear.
//
//	text --fold--> plain digits and signs --lex--> tokens --name--> tokens with
//	a meaning (vocabulary/*.toml) --walk--> Result
//
// One rule stands above all others: a number is a reading only when nothing
// else is a sensible way to understand it. Whatever is left in doubt is handed
// back as a Doubt, with its reason, for the dialogue to ask about; nothing is
// ever guessed, rounded or completed here.
//
// A newcomer finds: the words of a language in vocabulary/<language>.toml (a
// new language is one more file); what digits may be in number.go; what a token
// does in walk.go, a word in words.go, a label in label.go, a number in role.go;
// what the whole text makes of them in judge.go and parse.go. What people type,
// and what is understood, is in testdata/replies.
package reply

import "gasmuster/internal/gas"

// Context is what is known of the person who typed.
type Context struct {
	Labels    []string      // labels of the person's own cylinders
	Analysers []string      // names of the analysers on the trip
	Cylinders int           // how many cylinders the person has; 0 when it does not matter
	Asked     []gas.Percent // the person's requested blends; 21 is air
	Language  string        // BCP 47; English is always understood as well
	// Confirming is an implausible value that the person was just asked about:
	// the same number typed again is taken.
	Confirming gas.Percent
}

// Reading is one number from an analyser and what was said with it.
type Reading struct {
	Label    string      // of the cylinder, as the context or the person wrote it; "" when not said
	Dive     int         // the dive it was said to be for, 0 when not said
	Asked    gas.Percent // the blend it was said to have been ordered as ("EAN32 reads 31.8"), 0 when not said
	Percent  gas.Percent
	Both     bool   // the same number for all of the person's cylinders
	Analyser string // "" when not said
}

// Result is what was understood. Readings that are certain and doubts about
// the rest may come together.
type Result struct {
	Readings []Reading
	AirPoint gas.Percent // what the analyser showed in fresh air, 0 when not said
	Analyser string      // an analyser named without a reading ("on A"), or the air point's
	Label    string      // one of the person's labels named without a reading

	Correction bool // "no, 31.4": the readings replace earlier ones
	Again      bool // "again 32.3": analysed a second time
	// MoveFrom and MoveTo say that a reading went to the wrong cylinder
	// ("sorry, 17 not 22"). MoveFrom may be "" when only the right one was named.
	MoveFrom, MoveTo string

	Intent  Intent
	Unclear []Doubt
}

// Intent is something said in words instead of a number.
type Intent string

// What people say. None is the zero value.
const (
	None        Intent = ""
	Yes         Intent = "yes"
	No          Intent = "no"
	NotYet      Intent = "not-yet"      // not analysed so far, later
	NotDiving   Intent = "not-diving"   // does not dive (today, this dive)
	Pass        Intent = "pass"         // gives the turn at the analyser up
	Undo        Intent = "undo"         // take the last one back
	NewCylinder Intent = "new-cylinder" // got another cylinder
	Refilled    Intent = "refilled"     // filled or topped up since
	Kept        Intent = "kept"         // never out of my sight
	Unsure      Intent = "unsure"       // not sure
	OutOfSight  Intent = "out-of-sight" // was out of my sight, relabelled
	DontKnow    Intent = "dont-know"    // don't know
	NoDecimals  Intent = "no-decimals"  // the analyser shows whole numbers only
	Trouble     Intent = "trouble"      // the analyser does not work, does not settle
	Cancel      Intent = "cancel"       // never mind
	Hello       Intent = "hello"
	Thanks      Intent = "thanks"
	Help        Intent = "help"
	Asks        Intent = "asks" // a question
)

// Doubt is one piece of text that can't be taken as it is.
type Doubt struct {
	Text    string      // the piece in question, at most 80 characters
	Why     Doubtful    // what is the matter
	Suggest gas.Percent // the number that it might be, to show in the question; never to be recorded from here
	Label   string      // the cylinder it was said for, "" when not said
}

// Doubtful is why something can't be taken.
type Doubtful string

// The reasons.
const (
	Pressure       Doubtful = "pressure"         // 210: a pressure?
	Fraction       Doubtful = "fraction"         // 0.32: a fraction?
	Slip           Doubtful = "slip"             // 3.2, 322, 32..4: a slip of the finger?
	LabelOrReading Doubtful = "label-or-reading" // the number is also one of the labels, or may be one
	AirOrReading   Doubtful = "air-or-reading"   // the air point, or a cylinder of air?
	Blend          Doubtful = "blend"            // what was ordered, not what the analyser shows
	Vague          Doubtful = "vague"            // about 32, 31-32, 32 or 33
	TooMany        Doubtful = "too-many"         // more numbers than cylinders, or two for one cylinder
	TwoWays        Doubtful = "two-ways"         // 32,36: one number or two?
	Range          Doubtful = "range"            // 72.4, 7: is that really what it shows?
	OtherUnit      Doubtful = "other-unit"       // metres, minutes, degrees, a date, a time, a phone number
	Question       Doubtful = "question"         // the number stands in a question
	Words          Doubtful = "words"            // the words around the number are not understood
	NotNumber      Doubtful = "not-number"       // nothing was understood
)
