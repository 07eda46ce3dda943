package sim

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Days on which product and judge once disagreed, made short, are kept as they are: no change of how days are made
// loses them.
func TestKeptDays(t *testing.T) {
	for _, file := range keptFiles(t) {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".json"), func(t *testing.T) {
			day := readKept(t, file)
			text, err := os.ReadFile(file) // #nosec G304 -- of our own testdata
			if err != nil {
				t.Fatal(err)
			}
			if wrong := Play(day); wrong != nil {
				t.Errorf("\n%s%v", Tell(day), wrong)
			}
			if again, err := keep(day); err != nil || !bytes.Equal(again, text) {
				t.Errorf("kept as\n%s%v", again, err)
			}
		})
	}
}

func keptFiles(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("testdata/days/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d kept days, %v", len(files), err)
	}
	return files
}

func readKept(t *testing.T, file string) Day {
	t.Helper()
	text, err := os.ReadFile(file) // #nosec G304 -- of our own testdata
	if err != nil {
		t.Fatal(err)
	}
	day, err := keptDay(text)
	if err != nil {
		t.Fatal(err)
	}
	return day
}

// keepIn writes a failure to a directory (SIM_KEEP), to be kept under a better name.
func keepIn(t *testing.T, dir string, f Failure) {
	t.Helper()
	if dir == "" {
		return
	}
	text, err := keep(f.Day)
	if err == nil {
		name := strings.ReplaceAll(f.Wrong.kind(), " ", "-") + "-" + strconv.FormatUint(f.Day.Seed, 10) + ".json"
		err = os.WriteFile(filepath.Join(dir, name), text, 0o600)
	}
	if err != nil {
		t.Error(err)
	}
}

func keptDay(text []byte) (Day, error) {
	var d Day
	read := json.NewDecoder(bytes.NewReader(text))
	read.DisallowUnknownFields()
	err := read.Decode(&d)
	return d, err
}

// keep is a day as it is kept: a line for everything that was said.
func keep(d Day) ([]byte, error) {
	var all struct {
		Seed   json.RawMessage
		Booked json.RawMessage
		Said   []json.RawMessage
	}
	text, err := json.Marshal(d)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, &all); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.WriteString("{\"Seed\": " + string(all.Seed) + ",\n\"Booked\": " + filledJSON(all.Booked) + ",\n\"Said\": [\n")
	for i, s := range all.Said {
		b.WriteString(filledJSON(s) + strings.Repeat(",", min(1, len(all.Said)-1-i)) + "\n")
	}
	b.WriteString("]}\n")
	return b.Bytes(), nil
}

// filledJSON is a value without what holds nothing.
func filledJSON(text []byte) string {
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		return err.Error()
	}
	v, _ = filledValue(v)
	short, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(short)
}

func filledValue(v any) (any, bool) {
	switch v := v.(type) {
	case map[string]any:
		for k, in := range v {
			if _, filled := filledValue(in); !filled {
				delete(v, k)
			}
		}
		return v, len(v) > 0
	case []any:
		for i := range v {
			v[i], _ = filledValue(v[i])
		}
		return v, len(v) > 0
	case string:
		return v, v != "" && v != "0001-01-01T00:00:00Z"
	case float64:
		return v, v != 0
	case bool:
		return v, v
	}
	return v, v != nil
}
