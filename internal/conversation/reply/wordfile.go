package reply

import (
	"fmt"
	"maps"
	"regexp"
	"strings"
)

// wordFile is the form of vocabulary/<language>.toml.
type wordFile struct {
	Point     []string          `toml:"point"`
	Weak      []string          `toml:"weak-point"`
	Elisions  []string          `toml:"elisions"`
	Prefixes  []string          `toml:"prefixes"`
	AloneYes  []string          `toml:"alone-yes"`   // 是: a yes when nothing else is said
	Within    []string          `toml:"within"`      // "in" of "in 5 minutes"
	Passing   []string          `toml:"passing"`     // "now": with me now is not with me all the time
	Openers   []string          `toml:"openers"`     // "so" before a comma at the start says nothing
	Measuring []string          `toml:"measuring"`   // "mido": of the words for doing, those that measure
	Frames    map[role][]string `toml:"frames"`      // "laat … zien": a verb in two parts, by its role
	Standing  []string          `toml:"standing"`    // "I'm" before a place, in a clause of its own
	Was       []string          `toml:"was"`         // "was": behind words for a slip, the right number
	Writes    []string          `toml:"writes"`      // "steht": of an instrument, or what is written on a cylinder
	Upon      []string          `toml:"upon"`        // "auf": leads to what something is written on
	Clock     []string          `toml:"clock"`       // "um": before a time of day
	Calls     []string          `toml:"calls"`       // "hey": before whom it is said to
	Inflect   []string          `toml:"inflect"`     // "é: ée, és, ées": other endings of the same word
	Oclock    []string          `toml:"o-clock"`     // "Uhr": units of a time of day
	Exactly   []string          `toml:"exactly"`     // of the words for yes, those that say it of a number
	Stops     []string          `toml:"stops"`       // of the words that take back, those that also stop a dive
	Loose     []string          `toml:"loose"`       // of the words for no, those that say none of it, or decline
	Alone     []string          `toml:"wrong-alone"` // "wrong tank": without a number no correction
	Swaps     []string          `toml:"swaps"`       // "swapped with": of a cylinder, beside the name of somebody else
	Cries     []string          `toml:"cries"`       // "help": with a "!" behind it no wish for the manual
	Holds     []string          `toml:"holds"`       // "wait" there, before a number, begins a correction
	Only      []string          `toml:"only"`        // "only": leads to a number
	Pressing  []string          `toml:"pressing"`    // "pressure": leads to one
	Times     []string          `toml:"times"`       // "twice"
	Starts    []string          `toml:"starts"`      // "zo" at the start, before a number
	Firsts    []string          `toml:"firsts"`      // "zuerst": what was done first
	Ago       []string          `toml:"ago"`         // "ago": behind or before minutes
	Its       []string          `toml:"its"`         // "it's": leads to what was measured, behind what was ordered
	Unmade    unmadeFile        `toml:"unmade"`
	Mine      []string          `toml:"mine"`       // "I've": beside a verb of measuring, that the sender did
	Calibrate []string          `toml:"calibrates"` // "calibrated"
	Thens     []string          `toml:"thens"`      // "then": behind a calibration
	Remarks   remarkFile        `toml:"remarks"`
	NoNumber  bool              `toml:"no-is-number"` // "no 17" is number seventeen
	// pairs of characters: the one that is typed, the one that is listed
	Simple    string              `toml:"simplified"`
	Han       bool                `toml:"han"`
	Numbers   map[string]int      `toml:"numbers"`
	Compounds []string            `toml:"compounds"` // "{tens} y {unit}": how numbers above twenty are put together
	Ordinals  map[string]int      `toml:"ordinals"`
	Dives     map[string]int      `toml:"dives"`
	Nth       nthFile             `toml:"nth"`
	Units     map[unit][]string   `toml:"units"`
	Words     map[role][]string   `toml:"words"`
	Intents   map[Intent][]string `toml:"intents"`
	Alarms    map[Alarm][]string  `toml:"alarms"`

	Made     []madeFile `toml:"made"`      // phrases put together of parts: made.go
	TensLast []string   `toml:"tens-last"` // "dertig": a unit comes before it, never behind
	Counters []string   `toml:"counters"`  // 那瓶: behind a label the cylinder, else another
	The      []string   `toml:"the"`       // "la": before a number it says that this is a label

	FollowUps  []string `toml:"follow-ups"` // "can we go": asks nothing of a number
	StoodBy    []string `toml:"stood-by"`   // "held the hose": beside the name of who did meanwhile
	Introduces []string `toml:"introduces"` // "my name is": before the sender's name
	Farewells  []string `toml:"farewells"`  // "regards": before the sender's name at the end
	Being      []string `toml:"being"`      // "is", "was": in a clause that says nothing of a reading
	Waits      []string `toml:"waits"`      // "waited": before or behind minutes or seconds
	Seconds    []string `toml:"seconds"`    // units of those
	Settles    []string `toml:"settles"`    // "then settled on": from a passing number to the one that stayed
	Passes     []string `toml:"passes"`     // "first it went": leads to a passing number
}

// add takes a file's words in. A phrase in two lists is an error when strict:
// the first list would win in silence.
func (v *vocabulary) add(f wordFile, strict bool) error {
	v.han, v.noNumber = f.Han, f.NoNumber
	v.addSimplified(f.Simple)
	v.addLists(f)
	v.addSwaps(f.Swaps)
	v.addFrames(f.Frames)
	for _, p := range f.Prefixes {
		v.prefixes = append(v.prefixes, lowerCase(fold(p)))
	}
	for r, list := range f.Words {
		if r == question {
			addAll(v.questions, list, v)
		}
		if err := v.addWords(r, list, strict); err != nil {
			return err
		}
	}
	for i, list := range f.Intents {
		if err := v.addWords(intentPrefix+role(i), list, strict); err != nil {
			return err
		}
	}
	if err := v.addPlaces(f, strict); err != nil {
		return err
	}
	if err := v.addRemarks(f.Remarks); err != nil {
		return err
	}
	v.inflect(f.Inflect)
	if err := v.addMade(f.Made); err != nil {
		return err
	}
	v.addUnmade(f.Unmade)
	v.addNumbers(f)
	v.addNths(f.Nth)
	addAll(v.point, f.Point, v)
	addAll(v.weakPoint, f.Weak, v)
	for u, list := range f.Units {
		for _, w := range list {
			v.units[v.typed(w)] = u
		}
	}
	v.withoutAccents()
	v.findPieces()
	return nil
}

// addLists takes the lists in that say more of words than their role.
func (v *vocabulary) addLists(f wordFile) {
	addAll(v.elisions, f.Elisions, v)
	addAll(v.aloneYes, f.AloneYes, v)
	addAll(v.within, f.Within, v)
	addAll(v.passing, f.Passing, v)
	addAll(v.openers, f.Openers, v)
	addAll(v.holds, f.Holds, v)
	addAll(v.only, f.Only, v)
	addAll(v.pressing, f.Pressing, v)
	addAll(v.times, f.Times, v)
	addAll(v.starts, f.Starts, v)
	addAll(v.firsts, f.Firsts, v)
	addAll(v.ago, f.Ago, v)
	addAll(v.its, f.Its, v)
	addAll(v.mine, f.Mine, v)
	addAll(v.calibrates, f.Calibrate, v)
	addAll(v.thens, f.Thens, v)
	addAll(v.standing, f.Standing, v)
	addAll(v.measuring, f.Measuring, v)
	addAll(v.was, f.Was, v)
	addAll(v.writes, f.Writes, v)
	addAll(v.upon, f.Upon, v)
	addAll(v.clock, f.Clock, v)
	addAll(v.calls, f.Calls, v)
	addAll(v.oclock, f.Oclock, v)
	addAll(v.exactly, f.Exactly, v)
	addAll(v.loose, f.Loose, v)
	addAll(v.stops, f.Stops, v)
	addAll(v.cries, f.Cries, v)
	addAll(v.alone, f.Alone, v)
	addAll(v.tensLast, f.TensLast, v)
	addAll(v.counters, f.Counters, v)
	addAll(v.the, f.The, v)
	addAll(v.followUps, f.FollowUps, v)
	addAll(v.stoodBy, f.StoodBy, v)
	addAll(v.introduces, f.Introduces, v)
	addAll(v.farewells, f.Farewells, v)
	addAll(v.being, f.Being, v)
	addAll(v.waits, f.Waits, v)
	addAll(v.seconds, f.Seconds, v)
	addAll(v.settles, f.Settles, v)
	addAll(v.passes, f.Passes, v)
}

// addPlaces takes the words in that say which dive, and those of alarm.
func (v *vocabulary) addPlaces(f wordFile, strict bool) error {
	for w, n := range f.Ordinals {
		v.ordinals[v.typed(w)] = n
		if err := v.addWords(ordinal, []string{w}, strict); err != nil {
			return err
		}
	}
	for w, n := range f.Dives {
		v.dives[v.typed(w)] = n
		if err := v.addWords(diveNamed, []string{w}, strict); err != nil {
			return err
		}
	}
	for a, list := range f.Alarms {
		whole, torn := v.cutAlarms(a, list)
		v.torn = append(v.torn, torn...)
		for _, w := range whole {
			v.alarms[v.typed(w)] = a
		}
		if err := v.addWords(alarmed, whole, strict); err != nil {
			return err
		}
	}
	return nil
}

// addNumbers takes the words for numbers in, and puts tens and units together
// in the ways of the language.
func (v *vocabulary) addNumbers(f wordFile) {
	all := maps.Clone(f.Numbers)
	for _, form := range f.Compounds {
		for tens, t := range f.Numbers {
			for unit, u := range f.Numbers {
				if t < 20 || t%10 != 0 || u < 1 || u > 9 {
					continue
				}
				w := strings.NewReplacer("{tens}", tens, "{unit}", unit).Replace(form)
				if _, listed := f.Numbers[w]; !listed {
					all[w] = t + u
				}
			}
		}
	}
	for w, n := range all {
		w = v.typed(w)
		v.numbers[w] = n
		v.spoken = max(v.spoken, 1+strings.Count(w, " "))
	}
}

// findPieces notes the words of phrases, so that none is cut in two.
func (v *vocabulary) findPieces() {
	for w := range v.words {
		for _, piece := range strings.Fields(w) {
			v.pieces[piece] = true
		}
	}
	for w := range v.numbers {
		for _, piece := range strings.Fields(w) {
			v.pieces[piece] = true
		}
	}
}

func addAll(into map[string]bool, list []string, v *vocabulary) {
	for _, w := range list {
		into[v.typed(w)] = true
	}
}

// typed is a phrase of the file in the form in which typed text is compared.
func (v *vocabulary) typed(phrase string) string {
	words := strings.Fields(strings.ReplaceAll(lowerCase(fold(phrase)), "-", " "))
	for i, w := range words {
		if first, rest, ok := strings.Cut(w, "'"); ok && rest != "" && v.elisions[first] {
			words[i] = first + "' " + rest
		}
	}
	return strings.Join(words, " ")
}

// bareStart is an apostrophe before a word, which the lexer drops: "heb 'm".
var bareStart = regexp.MustCompile(`(^| )'(\pL)`)

func (v *vocabulary) addWords(c role, list []string, strict bool) error {
	for _, w := range list {
		if w = v.typed(w); strings.Contains(w, "'") {
			w = bareStart.ReplaceAllString(w, "$1$2")
		}
		if was, twice := v.words[w]; twice && was != c && strict {
			return fmt.Errorf("%q stands under %q and %q", w, was, c)
		}
		v.words[w] = c
		v.longest = max(v.longest, 1+strings.Count(w, " "))
	}
	return nil
}
