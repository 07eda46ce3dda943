package conversation

// Transcripts of whole stories, in testdata/transcripts/*.txt at the
// repository's top. They read like the conversation and are played through
// Step with a clock of their own.
//
//	go test ./internal/conversation -run Transcripts           compares
//	go test ./internal/conversation -run Transcripts -update   rewrites
//
// Lines that begin at the margin are written by people; indented lines are
// what came of them, and are rewritten by -update. Read what changed: a
// transcript is the specification of what people are told.
//
// A transcript begins with the booking:
//
//	# A comment, kept as it is.
//	trip Saturday two-tank departs 2027-05-15 08:30 Atlantic/Azores in m
//	dive Anvil Ledge 30 m bottom 34 m for 22 min
//	dive Lime Kiln Wall 18 m bottomless for 40 min after 60 min
//	analysers A B
//	policy boat_check=all ppo2=1.3
//	leader Inês card seen: 32
//	diver Tomasz card seen team 1 limit 40 m units ft: 17=32 dive 1, 36 dive 2
//	diver Yusuf card none: 21
//	crew Duarte: none
//	also Tomasz: Sunday reef 2027-05-16 09:00        (another trip of his)
//
// Words after a name: card seen|none|unseen, team T, limit DEPTH, units m|ft,
// language TAG;
// after the colon the cylinders: [LABEL=]BLEND [dive N]; "none" for no cylinder.
//
// Then it is a matter of who does what and when. A time moves the clock (the
// trip's zone), and the trip's wake-ups in between are played; each thing done
// takes 20 seconds unless the time says otherwise.
//
//	@ 2027-05-14 18:00      @ 07:30 (same day)      @ +5s   @ +10m
//	Tomasz joins
//	Tomasz: 17 32.4 on A                              (a "quoted" text may hold \n)
//	Tomasz sends a photo: 17 32.4       Tomasz sends a photo (without a word)
//	Tomasz edits "32.4" to "31.4"                     (his last message of that text)
//	Tomasz presses [Undo]                             (the newest button so labelled in English, or beginning so)
//	Tomasz presses {undo r99}                         (whatever a client may send)
//	Tomasz in the group: hello
//	Tomasz can't be reached: blocked     Tomasz can be reached     Tomasz forgets
//	newcomer Rui card none limit 18 m: 21 (has opened the open invite and waits)
//	shop locks the fill list             shop announces
//	shop fills 17                        shop reads 17 32.1 on S
//	shop sets dive 1 depth 33 m          shop moves departure to 2027-05-15 10:00
//	shop says: cylinders are ready       shop sets dive 1 depth 33 m, cylinders are ready
//
// What has to be so is written with "=" and fails the test when it is not:
//
//	= Tomasz dive 1: no-go               (the state of a clearance, as in the interface)
//	= dive 1 signature broken            (standing, broken, lapsed, withdrawn or none)
//	= Tomasz hears no "52 m"             (no message to him so far holds the words)
//	= Inês hears "NO-GO"                 (some message to her does)
//
// What came of it: "-> NAME" a message with its buttons, "(no phone)" when the
// person never joined, "* ..." what was noted in the trip's log, "! ..." news
// for the shop's systems, "? ..." the question that now waits for an answer.

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite transcripts and golden files")

const transcripts = "../../testdata/transcripts"

func TestTranscripts(t *testing.T) {
	files, err := filepath.Glob(transcripts + "/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatalf("no transcripts in %s: %v", transcripts, err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			before, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			after := play(t, string(before))
			if strings.Contains(after, "⟦") {
				t.Errorf("a text is missing in a catalogue: %s", after[strings.Index(after, "⟦"):][:60])
			}
			if *update {
				if err := os.WriteFile(file, []byte(after), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if d := cmp.Diff(strings.Split(string(before), "\n"), strings.Split(after, "\n")); d != "" {
				t.Errorf("the story went differently (-written +played); if that is right, rerun with -update:\n%s", d)
			}
		})
	}
}

// play plays a transcript and returns it as it went.
func play(t *testing.T, script string) string {
	t.Helper()
	return played(t, script).out.String()
}
