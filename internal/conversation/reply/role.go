package reply

// role is what a word does in a message. The intents are roles of their own,
// "intent:" and the Intent.
type role string

// The roles of words, named as in the vocabulary files.
const (
	unknownWord role = ""

	// What a reading has room for.
	neutral  role = "neutral"  // articles, pronouns, particles, courtesies: they say nothing of whose or what
	vocative role = "vocative" // captain, everybody: whom it is said to, which may also be whose it is
	percent  role = "percent"  // percent, O2
	measured role = "measured" // reads, shows, is
	labelled role = "label"    // tank, cylinder, no.
	analyser role = "analyser"
	on       role = "on" // on, with, at
	both     role = "both"
	dive     role = "dive"
	ordinal  role = "ordinal"
	and      role = "and"
	but      role = "but"
	again    role = "again"
	particle role = "particle" // out, up: of a verb of an instrument
	alike    role = "alike"    // the same: of labels that share a number, told before or to come
	too      role = "too"      // also: as "the same" for a label without a number, else no more than neutral
	soFar    role = "so-far"   // up to now: beside a label, that no other is done
	aside    role = "aside"    // my hands are wet: in a clause of its own, without a number
	using    role = "using"    // used: with the name of an analyser
	noting   role = "noting"   // write down, put: with a number that nobody orders
	withMe   role = "with-me"  // to the boat question: in my keeping
	unparted role = "unparted" // never left my side: kept, with nothing else beside it
	atMine   role = "at-mine"  // of my cylinder; beside a word of staying, in my keeping

	// What claims a number of its own.
	ordered  role = "ordered" // asked for
	blend    role = "blend"   // nitrox
	air      role = "air"
	fresh    role = "fresh" // fresh air, calibration
	monoxide role = "co"

	// What takes a number back.
	correction role = "correction" // I meant, typo: before the right number
	meant      role = "meant"      // I meant: before the right number, or right behind it
	wrong      role = "wrong"      // wrong: alone, before the right number
	deny       role = "deny"       // not, instead of: before the wrong number
	rather     role = "rather"     // じゃなくて: between the wrong number and the right one
	wrote      role = "wrote"      // I typed: before the wrong number, with the right one beside it
	changing   role = "changing"   // change to: before the right number, one that nobody orders
	excuse     role = "excuse"     // misread it: beside a correction, before or after it
	maybeNo    role = "no-or-not"  // a word for no that also means not or not any
	maybeYes   role = "yes-or-if"  // a word for yes that also means if

	// What no reading and no answer has room for. Any unknown word does the
	// same; these give the reason.
	never    role = "never"
	doubtful role = "doubt"    // about, maybe, but not stable
	span     role = "range"    // or, to
	other    role = "other"    // depth, seat, battery: something else that has numbers
	subject  role = "subject"  // sticker, shop, her: of something or somebody else
	past     role = "past"     // was, then, before
	same     role = "same"     // as ordered, as always
	expected role = "expected" // should be, filled with
	question role = "question"
	helium   role = "helium"

	// What only some answers have room for.
	always   role = "always"    // all the time
	when     role = "when"      // this morning
	act      role = "act"       // do it, analyse
	will     role = "will"      // I'll do: with a label, that it is done later
	stay     role = "stay"      // stayed, kept: beside "with me"
	rest     role = "rest"      // the other one: of two labels the one that was not named, to be done later
	last     role = "last"      // the last one
	firmNo   role = "firm-no"   // of course not: a no where only one thing can be meant
	answerNo role = "no-answer" // I haven't, not at all: a no, never beside a number
	inPlace  role = "in-place"  // on the boat, by my bag
	shouldBe role = "should-be" // should be: behind a word of correction, the right number
	remark   role = "remark"    // a bit rich: of the gas, beside a number with decimals
	apart    role = "apart"     // a bit over: the same, in a clause of its own; before a number it is vague
	compared role = "compared"  // a bit richer: the same, before what it is set against, else a wish
	than     role = "than"      // than ordered

	diveNamed role = "dive-named" // first dive
	alarmed   role = "alarm"
	meterName role = "analyser's name" // set by claims, not in the vocabulary

	intentPrefix = "intent:"
)

// wordLists are the roles that a vocabulary file may list words under.
var wordLists = []role{neutral, vocative, percent, measured, labelled, analyser, on, both, dive, and, but, again,
	particle, alike, too, soFar, aside, using, noting, withMe, atMine, unparted, ordered, blend, air, fresh, monoxide,
	correction, meant, wrong, deny, rather, wrote,
	changing, excuse, maybeNo, maybeYes,
	never, doubtful, span, other, subject, past, same, expected, question, helium,
	always, when, act, will, stay, rest, last, firmNo, answerNo, inPlace, shouldBe, remark, apart, compared, than}

// roomInReading are the words that a reading has room for wherever they stand.
// Those of other roles are accounted for only by what they do: claims.go,
// order.go, denied.go, later.go and state.go.
var roomInReading = map[role]bool{neutral: true, percent: true, measured: true, labelled: true, analyser: true,
	on:  true,
	and: true, but: true, again: true, too: true, atMine: true, saidHello: true, saidThanks: true, saidYes: true,
	saidNewCylinder: true, saidRefilled: true, saidNoDecimals: true}

// roomBeside are the words that an answer or a wish has room for, beside
// neutral ones.
var roomBeside = map[Intent]map[role]bool{
	Yes: {when: true, act: true, measured: true},
	No:  {when: true, act: true},
	NotYet: {act: true, will: true, when: true, labelled: true, analyser: true, on: true, measured: true, both: true,
		last: true, again: true, rest: true, inPlace: true, particle: true},
	Undo: {last: true, labelled: true, measured: true, both: true, on: true, act: true, particle: true},
	Kept: {always: true, labelled: true, both: true, stay: true, withMe: true, atMine: true, measured: true,
		when: true, on: true},
	OutOfSight: {labelled: true, both: true, inPlace: true, subject: true, stay: true, act: true, when: true,
		measured: true},
	Refilled: {labelled: true, both: true, again: true, measured: true, when: true, on: true, subject: true, act: true,
		stay: true, inPlace: true},
	NewCylinder: {labelled: true, both: true, measured: true, on: true, subject: true, act: true, stay: true,
		when: true, inPlace: true},
	Unsure:     {act: true, stay: true, always: true, withMe: true, atMine: true, measured: true},
	Trouble:    {analyser: true, measured: true, on: true},
	NotDiving:  {when: true, dive: true, act: true},
	NoDecimals: {analyser: true, measured: true, percent: true},
	DontKnow:   {measured: true, analyser: true, act: true, stay: true, always: true, withMe: true, atMine: true},
	Help:       {analyser: true, act: true},
	Pass:       {act: true, analyser: true},
}

// The intents as roles.
const (
	saidYes         = intentPrefix + role(Yes)
	saidNo          = intentPrefix + role(No)
	saidNotYet      = intentPrefix + role(NotYet)
	saidNewCylinder = intentPrefix + role(NewCylinder)
	saidRefilled    = intentPrefix + role(Refilled)
	saidUndo        = intentPrefix + role(Undo)
	saidKept        = intentPrefix + role(Kept)
	saidUnsure      = intentPrefix + role(Unsure)
	saidOutOfSight  = intentPrefix + role(OutOfSight)
	saidDontKnow    = intentPrefix + role(DontKnow)
	saidNoDecimals  = intentPrefix + role(NoDecimals)
	saidTrouble     = intentPrefix + role(Trouble)
	saidPass        = intentPrefix + role(Pass)
	saidCancel      = intentPrefix + role(Cancel)
	saidHello       = intentPrefix + role(Hello)
	saidThanks      = intentPrefix + role(Thanks)
	saidHelp        = intentPrefix + role(Help)
)

// is what a number, or a word that stands for one, was found to be.
type is uint8

const (
	isOpen     is = iota // not decided
	isReading            // of the analyser, of a cylinder
	isLabel              // of a cylinder
	isDive               // the number of a dive
	isOrder              // what was ordered
	isAir                // of the analyser in fresh air
	isMonoxide           // parts per million of carbon monoxide
	isBar                // of the cylinder, with its unit
	isDenied             // "not 32.4"
	isMeter              // the name of an analyser
	isDoubt              // asked about; see doubt.go
	isTime               // a time of day: when the analysis was made
	isCount              // of the cylinders that the message speaks of
	isOther              // metres, a date, a phone number
)
