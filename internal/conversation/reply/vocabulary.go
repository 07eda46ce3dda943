package reply

import (
	"embed"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
)

//go:embed vocabulary/*.toml
var vocabularyFiles embed.FS

// unit is what a number's unit measures.
type unit string

const (
	noUnit       unit = ""
	unitPressure unit = "pressure"
	unitMetres   unit = "metres"
	unitFeet     unit = "feet"
	unitMinutes  unit = "minutes"
	unitPPM      unit = "ppm"
	unitCount    unit = "cylinders" // "two tanks"
	unitQueue    unit = "queue"     // "five before me"
	unitTimes    unit = "times"     // "measured twice"
	unitOther    unit = "other"
)

// vocabulary is one language's words, or several languages' merged.
type vocabulary struct {
	words      map[string]role
	longest    int // words in the longest phrase
	questions  map[string]bool
	numbers    map[string]int
	ordinals   map[string]int
	nths       map[string]int  // "twelfth": a label
	nthTails   map[string]bool // "th" behind digits
	point      map[string]bool
	weakPoint  map[string]bool // "e" in "trentadue e quattro": only between words
	elisions   map[string]bool // "l" in "l'analyseur": a word of its own
	prefixes   []string        // "و" in "و22": a word of its own, written without a blank
	pieces     map[string]bool // words that are part of a phrase
	dives      map[string]int  // phrases that say which dive
	alarms     map[string]Alarm
	torn       []tornAlarm // alarms in two parts: "someone … my tank"
	aloneYes   map[string]bool
	within     map[string]bool    // "in" of "in 5 minutes"
	passing    map[string]bool    // "now": with me now is not with me all the time
	openers    map[string]bool    // "so" before a comma at the start: nothing
	was        map[string]bool    // "was": of the past, and of what should have been said
	writes     map[string]bool    // "says": of an instrument, or what is written on a cylinder
	upon       map[string]bool    // "on": leads to what something is written on
	clock      map[string]bool    // "at" before a time of day
	calls      map[string]bool    // "hey": before whom it is said to
	oclock     map[string]bool    // "o'clock"
	exactly    map[string]bool    // of the words for yes, those that say it of a number
	stops      map[string]bool    // of the words that take back, those that also stop a dive
	loose      map[string]bool    // of the words for no, those that say none of it, or decline
	alone      map[string]bool    // "wrong tank": without a number no correction
	cries      map[string]bool    // "help": with a "!" behind it no wish for the manual
	swaps      []string           // "swapped with": of a cylinder, beside the name of somebody else
	simple     map[rune]rune      // characters that are written in two ways
	spellings  map[string]role    // of words that are known misspelt
	short      map[string]role    // of those with a letter missing
	measuring  map[string]bool    // "mido": a verb of doing that measures
	frames     map[string][]frame // "laat": "zien"
	standing   map[string]bool    // "I'm" before a place
	only       map[string]bool    // "only": leads to a number
	pressing   map[string]bool    // "pressure": leads to one
	unmade     map[string]bool    // "not measured": of the words for later, those that deny an analysis
	times      map[string]bool    // "twice"
	starts     map[string]bool    // "zo" at the start, before a number
	firsts     map[string]bool    // "zuerst": what was done first
	ago        map[string]bool    // "ago": behind or before minutes
	its        map[string]bool    // "it's": leads to what was measured, behind what was ordered
	mine       map[string]bool    // "I've": beside a verb of measuring, that the sender did
	calibrates map[string]bool    // "calibrated"
	thens      map[string]bool    // "then": behind a calibration
	holds      map[string]bool    // "wait" there, before a number: what follows corrects
	units      map[string]unit
	noNumber   bool // "no 17": number seventeen
	han        bool // 三十二点四 is a number
	spoken     int  // words in the longest spoken number

	tensLast map[string]bool // "dertig": no unit follows
	counters map[string]bool // 那瓶: behind a label
	the      map[string]bool // "la" before a label
	noted    map[string]bool // "I wrote it on the tape": behind a number

	inquiries  map[string]bool // "can I dive?": a question that says nothing of the number
	helpers    map[string]bool // "my aunt held it": what somebody else did beside the sender
	softeners  map[string]bool // なんですけど: a but that nothing need follow
	followUps  map[string]bool // "can we go": asks nothing of a number
	stoodBy    map[string]bool // "held the hose": beside the name of who did, while the sender read
	introduces map[string]bool // "my name is": before the sender's name
	farewells  map[string]bool // "regards": before the sender's name at the end
	being      map[string]bool // "is", "was": in a clause that says nothing of a reading
	waits      map[string]bool // "waited": before or behind minutes or seconds
	seconds    map[string]bool // units of those
	settles    map[string]bool // "then settled on": leads from a passing number to the one that stayed
	passes     map[string]bool // "first it went": leads to a passing number
}

// loadVocabulary reads the file of a language.
func loadVocabulary(files fs.FS, language string) (*vocabulary, error) {
	var f wordFile
	name := "vocabulary/" + language + ".toml"
	meta, err := toml.DecodeFS(files, name, &f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if rest := meta.Undecoded(); len(rest) > 0 {
		return nil, fmt.Errorf("%s: unknown entries %v", name, rest)
	}
	v := newVocabulary()
	if err := v.add(f, true); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return v, nil
}

// mustLoad reads an embedded file; a test loads them all.
func mustLoad(language string) *vocabulary {
	v, err := loadVocabulary(vocabularyFiles, language)
	if err != nil {
		panic(err)
	}
	return v
}

// languages are those that have a file, by their two or three letters.
func languages() []string {
	names, err := fs.Glob(vocabularyFiles, "vocabulary/*.toml")
	if err != nil {
		panic(err) // the pattern is ours
	}
	for i, name := range names {
		names[i] = strings.TrimSuffix(path.Base(name), ".toml")
	}
	return names
}

func newVocabulary() *vocabulary {
	return &vocabulary{tensLast: map[string]bool{}, counters: map[string]bool{}, the: map[string]bool{},
		noted: map[string]bool{}, inquiries: map[string]bool{}, helpers: map[string]bool{}, softeners: map[string]bool{},
		followUps: map[string]bool{}, stoodBy: map[string]bool{}, introduces: map[string]bool{}, farewells: map[string]bool{},
		being: map[string]bool{}, waits: map[string]bool{}, seconds: map[string]bool{},
		settles: map[string]bool{}, passes: map[string]bool{},
		words: map[string]role{}, questions: map[string]bool{}, numbers: map[string]int{},
		ordinals: map[string]int{}, nths: map[string]int{}, nthTails: map[string]bool{}, dives: map[string]int{},
		alarms: map[string]Alarm{},
		pieces: map[string]bool{}, aloneYes: map[string]bool{}, within: map[string]bool{}, passing: map[string]bool{},
		point: map[string]bool{}, weakPoint: map[string]bool{}, elisions: map[string]bool{},
		openers: map[string]bool{}, standing: map[string]bool{},
		was: map[string]bool{}, exactly: map[string]bool{}, loose: map[string]bool{},
		stops: map[string]bool{}, cries: map[string]bool{},
		alone: map[string]bool{}, oclock: map[string]bool{}, calls: map[string]bool{},
		clock: map[string]bool{}, writes: map[string]bool{}, upon: map[string]bool{}, spellings: map[string]role{},
		short: map[string]role{}, measuring: map[string]bool{}, frames: map[string][]frame{},
		unmade: map[string]bool{}, times: map[string]bool{}, starts: map[string]bool{}, firsts: map[string]bool{},
		ago: map[string]bool{}, its: map[string]bool{},
		only: map[string]bool{}, pressing: map[string]bool{}, mine: map[string]bool{}, calibrates: map[string]bool{},
		thens: map[string]bool{}, holds: map[string]bool{}, units: map[string]unit{}, longest: 1, spoken: 1}
}

// knows tells whether a word has any meaning by itself.
func (v *vocabulary) knows(w string) bool {
	_, number := v.numbers[w]
	return number || v.words[w] != unknownWord || v.units[w] != noUnit || v.point[w] || v.weakPoint[w]
}

// wordsOf is the vocabulary for a reader of language: their own, and English
// when theirs has no file. "pt-br" finds pt.
func wordsOf(language string) *vocabulary {
	base, _, _ := strings.Cut(strings.ToLower(language), "-")
	words, ok := readers()[base]
	if !ok {
		words = readers()["en"]
	}
	return words()
}

// readers make the vocabularies that people are read by, each when somebody first
// writes in its language: whoever writes first after a start waits for one, not for all.
var readers = sync.OnceValue(func() map[string]func() *vocabulary {
	all := map[string]func() *vocabulary{}
	for _, language := range languages() {
		all[language] = sync.OnceValue(func() *vocabulary { return merged(language) })
	}
	return all
})

var english = sync.OnceValue(func() *vocabulary { return mustLoad("en") })

// Prepare reads the vocabulary of a language, so that nobody waits for that.
func Prepare(language string) { wordsOf(language) }

// merged is a language with the English words added where it has no meaning of its
// own for them: on a mixed boat people type both.
func merged(language string) *vocabulary {
	own, m := english(), newVocabulary()
	if language != "en" {
		own = mustLoad(language)
	}
	m.fill(own)
	m.fill(english())
	m.noNumber = own.noNumber
	m.addSpellings()
	return m
}

// fill adds what v has no meaning for yet.
func (v *vocabulary) fill(from *vocabulary) {
	v.longest = max(v.longest, from.longest)
	v.spoken = max(v.spoken, from.spoken)
	v.han = v.han || from.han
	if v.simple == nil {
		v.simple = from.simple
	}
	words, numbers, units := added(from.words, v.misreads), added(from.numbers, v.knows), added(from.units, v.knows)
	questions := added(from.questions, v.knows)
	maps.Copy(v.words, words)
	maps.Copy(v.numbers, numbers)
	maps.Copy(v.units, units)
	maps.Copy(v.questions, questions)
	fillMap(v.ordinals, from.ordinals)
	fillMap(v.nths, from.nths)
	fillMap(v.nthTails, from.nthTails)
	fillMap(v.dives, from.dives)
	fillMap(v.alarms, from.alarms)
	v.torn = append(v.torn, from.torn...)
	fillMap(v.pieces, from.pieces)
	fillMap(v.aloneYes, from.aloneYes)
	fillMap(v.within, from.within)
	fillMap(v.passing, from.passing)
	fillMap(v.openers, from.openers)
	fillMap(v.holds, from.holds)
	fillMap(v.only, from.only)
	fillMap(v.pressing, from.pressing)
	fillMap(v.unmade, from.unmade)
	fillMap(v.times, from.times)
	fillMap(v.starts, from.starts)
	fillMap(v.firsts, from.firsts)
	fillMap(v.ago, from.ago)
	fillMap(v.its, from.its)
	fillMap(v.mine, from.mine)
	fillMap(v.calibrates, from.calibrates)
	fillMap(v.thens, from.thens)
	fillMap(v.standing, from.standing)
	fillMap(v.measuring, from.measuring)
	fillMap(v.was, from.was)
	fillMap(v.writes, from.writes)
	fillMap(v.upon, from.upon)
	fillMap(v.clock, from.clock)
	fillMap(v.calls, from.calls)
	fillMap(v.oclock, from.oclock)
	fillMap(v.exactly, from.exactly)
	fillMap(v.loose, from.loose)
	fillMap(v.stops, from.stops)
	fillMap(v.cries, from.cries)
	fillMap(v.alone, from.alone)
	v.swaps = append(v.swaps, from.swaps...)
	fillMap(v.frames, from.frames)
	v.prefixes = append(v.prefixes, from.prefixes...)
	fillMap(v.point, from.point)
	fillMap(v.weakPoint, from.weakPoint)
	fillMap(v.elisions, from.elisions)
	fillMap(v.tensLast, from.tensLast)
	fillMap(v.counters, from.counters)
	fillMap(v.the, from.the)
	fillMap(v.noted, from.noted)
	fillMap(v.inquiries, from.inquiries)
	fillMap(v.helpers, from.helpers)
	fillMap(v.softeners, from.softeners)
	fillMap(v.followUps, from.followUps)
	fillMap(v.stoodBy, from.stoodBy)
	fillMap(v.introduces, from.introduces)
	fillMap(v.farewells, from.farewells)
	fillMap(v.being, from.being)
	fillMap(v.waits, from.waits)
	fillMap(v.seconds, from.seconds)
	fillMap(v.settles, from.settles)
	fillMap(v.passes, from.passes)
}

// misreads tells whether a phrase of another language is not to be taken in: it is
// known already, or a word of it denies or doubts in this one ("of", which is "or"
// in Dutch).
func (v *vocabulary) misreads(w string) bool {
	if v.knows(w) || !strings.Contains(w, " ") {
		return v.knows(w)
	}
	return slices.ContainsFunc(strings.Fields(w), func(piece string) bool { return barred[v.words[piece]] })
}

// barred are the roles of words that no reading has room for.
var barred = map[role]bool{never: true, doubtful: true, span: true, deny: true, maybeNo: true, rather: true,
	other:   true,
	subject: true, past: true, same: true, expected: true, helium: true, wrong: true}

// added is what the other vocabulary has and v gives no meaning of any kind.
func added[V any](from map[string]V, known func(string) bool) map[string]V {
	out := map[string]V{}
	for w, x := range from {
		if !known(w) {
			out[w] = x
		}
	}
	return out
}

func fillMap[V any](into, from map[string]V) {
	for k, x := range from {
		if _, ok := into[k]; !ok {
			into[k] = x
		}
	}
}
