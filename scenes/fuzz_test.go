package scenes

import (
	_ "embed"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// everyForm is every way that TOML has of writing a key.
//
//go:embed syntax/testdata/every-form.toml
var everyForm string

// requireReading reads a text and checks what reading promises of every text.
func requireReading(t interface {
	Fatalf(format string, args ...any)
}, text []byte, sets []string) {
	s, err := Read("fuzz.toml", text, sets)
	if err == nil {
		if s.Site == nil || s.Site.Scale.Ratio < 1 {
			t.Fatalf("no fault and no scale")
		}
		for _, p := range s.Site.Parts {
			if s.Site.Find(p.Label()) != p {
				t.Fatalf("two parts are called %q", p.Label())
			}
		}
		return
	}
	var faults *Faults
	if !errors.As(err, &faults) || len(faults.List) == 0 {
		t.Fatalf("not faults: %v", err)
	}
	message := err.Error()
	if strings.Contains(message, broken) {
		t.Fatalf("%s", message)
	}
	lines := strings.Count(string(text), "\n") + 1
	for _, f := range faults.List {
		last := lines
		if f.File == "--set" {
			last = len(sets)
		}
		if f.Line < 1 || f.Line > last || f.Column < 1 || f.Length < 1 || f.Text == "" {
			t.Fatalf("a fault without a place: %#v", f)
		}
	}
}

// FuzzRead: no text and no --set makes reading panic or report a fault without a
// place. Found inputs are kept under testdata/fuzz.
func FuzzRead(f *testing.F) {
	f.Add([]byte(everyForm), "scale.ratio=100")
	f.Add([]byte(quay), "stair.water-stair.width=30")
	f.Add([]byte(quay), "base.base-1.magnet[0].disc=[4, 1]")
	for _, name := range Shipped() {
		text, err := Open(name)
		require.NoError(f, err)
		f.Add(text, "")
	}
	faulty, err := filepath.Glob("testdata/faulty/*.toml")
	require.NoError(f, err)
	for _, file := range faulty {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		if len(text) < 4096 {
			f.Add(text, "seed=2")
		}
	}
	f.Fuzz(func(t *testing.T, text []byte, set string) {
		if len(text) > 1<<16 || len(set) > 1<<10 {
			return
		}
		requireReading(t, text, []string{set})
	})
}

// TestMutations changes shipped scenes a little, in ways that keep most of them
// readable, and reads them.
func TestMutations(t *testing.T) {
	t.Parallel()
	var texts []string
	for _, name := range append(Shipped(), "starter") {
		text, err := files.ReadFile(name + ".toml")
		require.NoError(t, err)
		texts = append(texts, string(text))
	}
	texts = append(texts, quay, everyForm)
	junk := []string{
		"", " ", "\n", "=", "[", "]", "{", "}", ",", ".", `"`, "'", "#", "-", "nan", "inf", "1e999", "0", "-1", "true",
		`"3 m"`, `"north"`, "[[base]]\n", "[ground]\n", "\x00", "\xff", "é", "\r\n", "name = \"x\"\n", "999999999999999999999",
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "scene")
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 12).Draw(t, "length"))
			text = text[:from] + rapid.SampledFrom(junk).Draw(t, "junk") + text[to:]
		}
		requireReading(t, []byte(text), nil)
	})
}

// TestWords swaps whole words of a scene for others of the scene, which keeps
// the TOML whole and reaches the rules behind it.
func TestWordMutations(t *testing.T) {
	t.Parallel()
	text := quay
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \n[]{}=,", r) })
	words = append(words, "0", "-3", "1e6", "0.001", `""`, "true", "[]", "[0, 0]", "{}")
	rapid.Check(t, func(t *rapid.T) {
		changed := text
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			changed = strings.Replace(changed, rapid.SampledFrom(words).Draw(t, "old"), rapid.SampledFrom(words).Draw(t, "new"), 1)
		}
		requireReading(t, []byte(changed), nil)
	})
}

// TestHugeTexts reads texts that are built to exhaust a reader.
func TestHugeTexts(t *testing.T) {
	t.Parallel()
	const n = 1 << 20
	for name, text := range map[string]string{
		"brackets":         "x = " + strings.Repeat("[", n),
		"braces":           "x = " + strings.Repeat("{a=", n/3),
		"closed brackets":  "x = " + strings.Repeat("[", n/2) + strings.Repeat("]", n/2),
		"dots":             strings.Repeat("a.", n/2) + "a = 1",
		"dots in a header": "[" + strings.Repeat("a.", n/2) + "a]",
		"dots and no key":  strings.Repeat("a.", n/2) + " 1",
		"numbers":          "x = [" + strings.Repeat("0,", n/2) + "]",
		"lists":            "x = [" + strings.Repeat("[0],", n/4) + "]",
		"tables":           strings.Repeat("[[base]]\n", n/9),
		"keys":             "[levels]\n" + strings.Repeat("a = 1\n", n/6),
		"one key":          strings.Repeat("k", n) + " = 1",
		"one text":         `title = "` + strings.Repeat("t", n) + `"`,
		"quotes":           strings.Repeat(`"`, n),
		"equals":           strings.Repeat("a==\n", n/4),
		"comments":         strings.Repeat("#\n", n/2),
		"too large":        strings.Repeat("#\n", MaxSize/2+1),
		"line of faults":   "[scale]\n" + strings.Repeat("x=", 10) + "\n" + strings.Repeat("=\n", n/2),
	} {
		t.Run(name, func(t *testing.T) {
			requireReading(t, []byte(text), nil)
			_, err := Read("huge.toml", []byte(text), nil)
			require.Error(t, err)
			require.Less(t, len(err.Error()), 1<<20)
		})
	}
}
