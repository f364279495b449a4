package scenes

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/scenes/syntax"
)

var update = flag.Bool("update", false, "rewrite the expected messages under testdata; read the difference")

// faultLines are the lines that a faulty scene says are at fault: those that end
// in "# fault" and, where no comment can stand, those listed in its first line.
func faultLines(text string) []int {
	var lines []int
	for i, line := range strings.Split(text, "\n") {
		if strings.Contains(line, "# fault") {
			lines = append(lines, i+1)
		}
		if rest, ok := strings.CutPrefix(line, "# Faults are on lines: "); ok {
			for word := range strings.SplitSeq(strings.TrimSpace(rest), ", ") {
				n, err := strconv.Atoi(word)
				if err != nil {
					panic(err)
				}
				lines = append(lines, n)
			}
		}
	}
	return lines
}

// TestFaultyScenes reads every scene under testdata/faulty. Each must be at fault
// on the lines that it is marked on and on no other, and print what lies beside it.
func TestFaultyScenes(t *testing.T) {
	files, err := filepath.Glob("testdata/faulty/*.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 100)
	several := 0
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".toml"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			_, err = Read(filepath.Base(file), text, nil)
			var faults *Faults
			require.True(t, errors.As(err, &faults), "read without a fault")
			var lines []int
			for _, f := range faults.List {
				lines = append(lines, f.Line)
			}
			require.True(t, slices.IsSorted(lines), "out of order: %v", lines)
			require.Equal(t, faultLines(string(text)), slices.Compact(lines), "%v", err)
			if len(faults.List) > 1 {
				several++
			}
			golden := strings.TrimSuffix(file, ".toml") + ".txt"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(err.Error()+"\n"), 0o644))
			}
			want, readErr := os.ReadFile(golden)
			require.NoError(t, readErr)
			require.Equal(t, string(want), err.Error()+"\n")
		})
	}
	require.GreaterOrEqual(t, several, 8, "scenes with more than one fault")
}

// TestCarets checks that the carets of every fault stand under the text that its
// line and column point at.
func TestCarets(t *testing.T) {
	place := regexp.MustCompile(`^[\w.-]+:(\d+):(\d+): `)
	files, err := filepath.Glob("testdata/faulty/*.toml")
	require.NoError(t, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		_, err = Read(filepath.Base(file), text, nil)
		var faults *Faults
		require.True(t, errors.As(err, &faults), file)
		lines := strings.Split(strings.TrimPrefix(string(text), "\uFEFF"), "\n")
		for _, f := range faults.List {
			shown := strings.Split(f.Error(), "\n")
			m := place.FindStringSubmatch(shown[0])
			require.NotNil(t, m, "%s: %q", file, shown[0])
			row, _ := strconv.Atoi(m[1])
			column, _ := strconv.Atoi(m[2])
			source := []rune(strings.TrimSuffix(lines[row-1], "\r"))
			carets := []rune(shown[2])
			from := slices.Index(carets, '^')
			n := len(carets) - from
			if column-1 == len(source) {
				continue // the carets stand behind the end of the line
			}
			require.LessOrEqual(t, column-1+n, len(source), "%s: %v", file, f.Error())
			want := syntax.Printable(string(source[column-1 : column-1+n]))
			require.Equal(t, want, string([]rune(shown[1])[from:from+n]), "%s: %v", file, f.Error())
		}
	}
}

func TestFaultsBeyondTheMostAreCounted(t *testing.T) {
	text := "[scale]\nratio = 285\n" + strings.Repeat("[[nothing]]\n", 1)
	for i := range syntax.MaxFaults + 7 {
		text += "x" + strconv.Itoa(i) + " = 1\n"
	}
	text = strings.Replace(text, "[[nothing]]\n", "[printer]\n", 1)
	_, err := Read("many.toml", []byte(text), nil)
	var faults *Faults
	require.True(t, errors.As(err, &faults))
	require.Len(t, faults.List, syntax.MaxFaults)
	require.Equal(t, 7, faults.More)
	require.True(t, strings.HasSuffix(err.Error(), "and 7 more"))
	require.Equal(t, "507 faults in many.toml", faults.Summary())
}
