// Package reply understands what a person typed: readings, the few other
// things that people answer, or what about it was unclear.
//
//	text --fold--> plain digits and signs --lex--> tokens --name--> tokens with a role
//	--claims, places--> what each number is a number of
//	--state--> readings with their places
//	--account--> what is left over --conclude--> Result
//
// It refuses by construction. Every token must be accounted for: a number has
// to be a number of something, a word has to have a role (role.go) that the
// kind of sentence has room for. One token that is not accounted for, and the
// message says nothing that is recorded and answers no question: the Result
// then holds a Doubt for each number, with its reason, for the dialogue to ask
// about. There is no list of words to be ignored but the neutral ones, which
// are particles, articles, pronouns and courtesies.
//
// What there is room for:
//
//   - A reading (state.go): "17 is 32.4 on A". A place (a label, a dive, "both") and
//     a number of it, before or after; a blend's name between them; the verbs
//     of an instrument. With several numbers each needs a place of its own.
//   - A correction (denied.go): "no, 31.4", "not 32.4 but 31.4". Any other denial is
//     not accounted for.
//   - What was ordered beside what was measured (order.go): "asked for 32, got 31.4".
//   - The other numbers of an analysis (claims.go): "A air 20.9", "17 CO 4".
//   - The number told before, for another cylinder (echo.go): "same on 9", "9 too",
//     "the other one is identical".
//   - Clauses beside a reading (aside.go): where the sender stands, how the analysis
//     came about, that the cylinder never left them, that it is so still; how many
//     cylinders there are, which is the only one so far (counted.go); who helped
//     (helper.go); a question that asks nothing of the number (inquiry.go).
//   - What people note beside a reading: a pressure with its unit behind it, that the
//     analyser was calibrated before, minutes ago (beside.go), what it should have been
//     (hoped in order.go), that the gas is a bit rich or only 29.8
//     (remark.go), where and how often the sender measured (analysed.go), what the
//     analyser went through before it stopped (settled.go), that the number is noted on
//     the cylinder as well (noted in aside.go; never before it).
//   - A time of day, for when the analysis was made (clock.go).
//   - A label said as an ordinal (nth.go): "the twelfth", "12er".
//   - A verb in two parts with the number between them (frame.go): "lese 32,3 ab".
//   - A word of an instrument, of oxygen or of a cylinder with a slip of the finger
//     (misspelt.go) or another ending (inflect.go); the other script of Chinese
//     (simplified.go); the sender's own name (names.go), or one in a
//     signature, and of who held the hose meanwhile (signed.go).
//   - A cylinder that is done later (state.go, putOff in sure.go): "22 isn't done
//     yet", "44 on the boat". A number in its clause has no room there. Words that deny
//     an analysis are told from those that put one off (unmade.go).
//   - What is noted or changed (denied.go): "put 31.8", "change 9 to 32.5", with
//     numbers that nobody orders.
//   - An answer or a wish in words (intent.go): a phrase that is known as a whole,
//     with nothing beside it that denies, hedges or asks.
//   - Answers that can make nothing greener (overheard.go): later, out of sight, not
//     sure, take it back. They alone are heard among words that nobody knows.
//   - Words of alarm (alarm.go) and of helium are heard whatever stands beside
//     them, and then nothing else is.
//
// There is never room for what is written on a cylinder (written.go): "it says 32
// on the tank" is its label.
//
// Two answers to the boat question have their own door: "never left my side"
// denies, and is known only with nothing beside it (unparted in intent.go); and
// "with me" is no answer with a word that says now or at last (passes).
//
// It is one package because every step writes on the same tokens: what a number is
// depends on all that was said beside it, so that no step can be asked alone. A newcomer
// finds the steps in parse.go, what they give in reply.go, and:
//
//   - fold: fold.go, emoji.go, accents.go;
//   - lex: token.go, word.go, number.go, unspaced.go;
//   - name: name.go, label.go (an answer to the question for one), role.go, spoken.go,
//     quantity.go (units and bounds), torn.go (numbers that belong together), dots.go,
//     somebody.go (who cries for help, of whom), signed.go
//     (names in a signature);
//   - claims, places, state: as above;
//   - account, conclude: account.go, room.go, doubt.go.
//
// The words are read by wordfile.go into vocabulary.go.
//
// A newcomer to a language finds: its words in vocabulary/<language>.toml (a new
// language is one more file), with families of phrases made of parts (made.go); the
// forms of digits in number.go, of numbers in words in spoken.go; which number is a
// label in place.go and sure.go; what a word must stand beside in room.go; the
// reasons of doubts in doubt.go; what says that no reason is meant in declines.go. What
// people type, and what is understood, is in testdata/replies; each kind of
// clause in each language in testdata/replies/clauses.
//
// The doors through which a word comes in, each of which asks for a reason:
// roomInReading (role.go) lets it stand anywhere beside a reading, accounted
// (account.go) beside something only, roomBeside (role.go) beside an answer, and
// overhears (overheard.go) lets an answer be heard among strangers. A word may
// be neutral only if no sentence exists in which it turns a reading into none.
package reply

import "gasmuster/internal/gas"

// Context is what is known of the person who typed.
type Context struct {
	Labels    []string      // labels of the person's own cylinders
	Analysers []string      // names of the analysers on the trip
	Cylinders int           // how many cylinders the person has; 0 when it does not matter
	Others    []string      // names of the others on the trip: whose cylinder somebody may have
	Asked     []gas.Percent // the person's requested blends; 21 is air
	Language  string        // BCP 47; English is always understood as well
	Name      string        // the person's own name, where nobody else on the trip shares a word of it
	// Confirming is an implausible value that the person was just asked about:
	// the same number typed again is taken.
	Confirming gas.Percent
	// Shown says that the open question is whether the analyser showed a
	// number. Only there "of course not" can mean but one thing, and is a no.
	Shown bool
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

// Monoxide is a carbon monoxide reading.
type Monoxide struct {
	Label string  // of the cylinder; "" when not said
	PPM   float64 // parts per million
}

// noteMonoxide is the most carbon monoxide that nothing is said of, in ppm.
const noteMonoxide = 3

// Notable tells whether it is more than may be passed over.
func (m Monoxide) Notable() bool { return m.PPM > noteMonoxide }

// Result is what was understood. Readings that are certain and doubts about
// other numbers may come together.
type Result struct {
	Readings []Reading
	AirPoint gas.Percent // what the analyser showed in fresh air, 0 when not said
	Monoxide []Monoxide
	Clock    Clock    // when the analysis was made, as said
	Analyser string   // an analyser named without a reading ("on A"), or the air point's
	Label    string   // one of the person's labels named without a reading
	Later    []string // labels of cylinders that were said to be analysed later
	// Unmade says that those, or with the intent NotYet all, were said not to have been
	// analysed, and not only that it will be done.
	Unmade bool

	Correction bool // "no, 31.4": the readings replace earlier ones
	Again      bool // "again 32.3": analysed a second time
	// Was is the number that a correction takes back, "not 36.4 but 31.8"; 0 when not said.
	Was gas.Percent
	// MoveFrom and MoveTo say that a reading went to the wrong cylinder
	// ("sorry, 17 not 22"). MoveFrom may be "" when only the right one was named.
	MoveFrom, MoveTo string

	Intent  Intent
	Stop    bool  // with the intent Cancel: a word that also stops a dive
	Loose   bool  // with the intent No: none of it, or not wanted; nothing of what happened to a cylinder
	Alarm   Alarm // with the intent Alarmed: of what
	Cry     bool  // with the alarm Distress: a cry for help, which may have been a wish for the manual
	Outside bool  // helium, a mix of three gases or a closed circuit was named: outside this check
	Keeping bool  // nothing was understood, but words of the boat question's answers are in it
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
	Asks        Intent = "asks"  // a question
	Alarmed     Intent = "alarm" // words that a leader must hear at once; see Result.Alarm
)

// Alarm is what words of alarm are about.
type Alarm string

// The alarms.
const (
	Distress      Alarm = "distress"       // feels ill, can't breathe, needs help now
	Leak          Alarm = "leak"           // a cylinder or valve leaks
	BadGas        Alarm = "bad-gas"        // smells, tastes, a carbon monoxide alarm
	WrongCylinder Alarm = "wrong-cylinder" // somebody else's, shared, missing
	NoCard        Alarm = "no-card"        // no certification card at hand
	NotAnalysed   Alarm = "not-analysed"   // guessed, or analysed by somebody else
)

// Doubt is one piece of text that can't be taken as it is.
type Doubt struct {
	Text    string      // the piece in question, at most 80 characters
	Why     Doubtful    // what is the matter
	Suggest gas.Percent // the number that it might be, to show in the question; never to be recorded from here
	Label   string      // the cylinder it was said for, "" when not said
	// Word is what was not accounted for, at most 80 characters; "" when the
	// number itself is the matter. Role is what is known of that word: "deny",
	// "subject", "doubt" and so on, as in the vocabulary; "" for an unknown one.
	Word, Role string
	// Others says that a word speaks of somebody or something else: "my buddy's
	// shows 32.4".
	Others bool
}

// Doubtful is why something can't be taken.
type Doubtful string

// The reasons.
const (
	Pressure       Doubtful = "pressure"         // 210: a pressure?
	Fraction       Doubtful = "fraction"         // 0.32: a fraction?
	Slip           Doubtful = "slip"             // 3.2, 322, 32.,4: a slip of the finger?
	LabelOrReading Doubtful = "label-or-reading" // the number is also one of the labels, or may be one
	AirOrReading   Doubtful = "air-or-reading"   // the air point, or a cylinder of air?
	Blend          Doubtful = "blend"            // what was ordered, not what the analyser shows
	Vague          Doubtful = "vague"            // about 32, 31-32, 32 or 33
	TooMany        Doubtful = "too-many"         // more numbers than cylinders or places, or two for one cylinder
	TwoWays        Doubtful = "two-ways"         // 32,36: one number or two?
	Range          Doubtful = "range"            // 72.4, 7: is that really what it shows?
	OtherUnit      Doubtful = "other-unit"       // metres, minutes, degrees, a date, a time, a phone number
	Question       Doubtful = "question"         // the number stands in a question
	Words          Doubtful = "words"            // a word beside the number is not accounted for
	NotNumber      Doubtful = "not-number"       // nothing was understood
)
