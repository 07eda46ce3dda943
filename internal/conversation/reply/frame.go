package reply

import (
	"slices"
	"strings"
)

// frame is the second part of a verb whose parts stand about the number: "lese
// 32,3 ab", "hab 35,2 geschrieben". By themselves the parts are other words.
type frame struct {
	second string
	role   role // what both parts are
}

// addFrames takes frames in, their parts with tornMark between them.
func (v *vocabulary) addFrames(all map[role][]string) {
	for r, list := range all {
		for _, w := range list {
			first, second, _ := strings.Cut(w, tornMark)
			first = v.typed(first)
			v.frames[first] = append(v.frames[first], frame{v.typed(second), r})
		}
	}
}

// framed gives both parts of each frame with a number between them its role.
func framed(toks []token, v *vocabulary) {
	for i := range toks {
		if toks[i].kind != kWord {
			continue
		}
		w := lowerCase(toks[i].text)
		frames := v.frames[w]
		if first, _, phrase := strings.Cut(w, " "); phrase && len(frames) == 0 && toks[i].role == measured {
			frames = slices.Concat(v.frames[first], v.frames[w[strings.LastIndexByte(w, ' ')+1:]]) // "ich lese", "les ich"
		}
		if len(frames) > 0 {
			frameAt(toks, i, frames)
		}
	}
}

func frameAt(toks []token, i int, frames []frame) {
	number := false
	for j := i + 1; j < len(toks) && toks[j].clause == toks[i].clause; j++ {
		number = number || toks[j].kind == kNumber
		if !number || toks[j].kind != kWord {
			continue
		}
		for _, f := range frames {
			if f.second == lowerCase(toks[j].text) {
				toks[i].role, toks[j].role = f.first(), f.role
				return
			}
		}
	}
}

// first is the role of the first part, when the last says it all.
func (f frame) first() role {
	if f.role == wrote || f.role == and { // "zowel 6 als 20"
		return neutral
	}
	return f.role
}
