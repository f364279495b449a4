package main

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/piece"
	"socle/sdf"
)

// fence is a fenced block of the README.
type fence struct{ language, text string }

// readme is the README and its fenced blocks.
func readme(t *testing.T) (text string, fences []fence) {
	read, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	text = string(read)
	pieces := strings.Split("\n"+text, "\n```")
	require.Equal(t, 1, len(pieces)%2, "a block does not end")
	for i := 1; i < len(pieces); i += 2 {
		language, block, _ := strings.Cut(pieces[i], "\n")
		fences = append(fences, fence{language, block})
	}
	return text, fences
}

// harbourIn follows "A first set" of the README in a folder: the new scene, and the
// hit added to it.
func harbourIn(t *testing.T, dir string) (path string) {
	r := runIn(t, dir, "new", "harbour")
	require.Equal(t, exitDone, r.code, r.err)
	path = filepath.Join(dir, "harbour.toml")
	scene, err := os.ReadFile(path)
	require.NoError(t, err)
	_, fences := readme(t)
	hit := slices.IndexFunc(fences, func(f fence) bool { return strings.HasPrefix(f.text, "[[crater]]") })
	require.GreaterOrEqual(t, hit, 0)
	require.NoError(t, os.WriteFile(path, []byte(string(scene)+"\n"+fences[hit].text+"\n"), 0o644))
	return path
}

// TestReadmeOutputs: what the README shows of the command's output is what it prints,
// line by line; "..." stands for lines left out.
func TestReadmeOutputs(t *testing.T) {
	dir := t.TempDir()
	path := harbourIn(t, dir)
	good, err := os.ReadFile(path)
	require.NoError(t, err)
	shown := map[string]func() ran{
		"harbour.toml:": func() ran {
			bad := strings.Replace(string(good), `width = "5 m"`, `widht = "5 m"`, 1)
			require.NotEqual(t, string(good), bad)
			require.NoError(t, os.WriteFile(path, []byte(bad), 0o644))
			defer os.WriteFile(path, good, 0o644)
			return runIn(t, dir, "plan", "harbour.toml")
		},
		"scale 1:285;": func() ran { return runIn(t, dir, "check", "harbour.toml", "--base", "captain") },
	}
	_, fences := readme(t)
	for _, f := range fences {
		first, _, _ := strings.Cut(f.text, " ")
		if f.language != "" || strings.HasPrefix(first, "bin/") || first == "socle" || first == "make" || first == "go" {
			continue // the reader's own text, or commands: TestReadmeCommands
		}
		begins := ""
		for b := range shown {
			if strings.HasPrefix(f.text, b) {
				begins = b
			}
		}
		require.NotEmpty(t, begins, "no command is known to print\n%s", f.text)
		r := shown[begins]()
		delete(shown, begins)
		require.Empty(t, unlike(f.text, r.out+r.err), "%s\nit printed\n%s%s", f.text, r.out, r.err)
	}
	require.Empty(t, shown)
}

// unlike gives the first lines shown that are not in what was printed, in their
// order, "" where there are none. The lines between two "..." stand together.
func unlike(shown, printed string) string {
	rest := "\n" + printed + "\n"
	for _, run := range ellipsis.Split("\n"+shown+"\n", -1) {
		_, after, ok := strings.Cut(rest, run)
		if !ok {
			return strings.Trim(run, "\n")
		}
		rest = "\n" + after
	}
	return ""
}

var ellipsis = regexp.MustCompile(`(?m)^ *\.\.\.$`)

func TestUnlike(t *testing.T) {
	for _, c := range []struct{ shown, unlike string }{
		{"a\nb", ""}, {"b\n...\ne", ""}, {"a\n  ...\n\ne", ""}, {"a\nc", "a\nc"}, {"e\n...\na", "a"}, {"x", "x"}, {"a\n...\n\nc", "c"},
	} {
		require.Equal(t, c.unlike, unlike(c.shown, "a\nb\nc\n\nd\n\ne"), c.shown)
	}
}

// TestReadmeCommands: every command line of the README is one that socle takes.
func TestReadmeCommands(t *testing.T) {
	text, fences := readme(t)
	var lines []string
	for _, f := range fences {
		if f.language == "" {
			lines = append(lines, strings.Split(f.text, "\n")...)
		}
	}
	for i, span := range strings.Split(text, "`") {
		if i%2 == 1 {
			lines = append(lines, span)
		}
	}
	tried := 0
	for _, line := range lines {
		line = strings.TrimPrefix(line, "bin/")
		switch {
		case !strings.HasPrefix(line, "socle "):
			continue
		case strings.ContainsAny(line, "[|") || strings.ContainsAny(line, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") && !strings.Contains(line, ".toml"):
			continue // a pattern of the table of commands
		case len(strings.Fields(line)) < 3 || strings.HasSuffix(line, " --help"):
			continue // a verb that the text speaks of
		}
		tried++
		line, _, _ = strings.Cut(line, " > ")
		words, err := exec.Command("sh", "-c", `socle() { printf '%s\n' "$@"; }; `+line).Output()
		require.NoError(t, err, line)
		cmd, args, err := newRoot(streams{}).Find(strings.Split(strings.TrimSpace(string(words)), "\n"))
		require.NoError(t, err, line)
		require.NoError(t, cmd.ParseFlags(args), line)
		require.NoError(t, cmd.ValidateArgs(cmd.Flags().Args()), line)
	}
	require.Greater(t, tried, 15)
}

// TestReadmeMovedHit: "Move one crater, and the bases far from it come out of the
// cache": far is further than 30 mm from its lip.
func TestReadmeMovedHit(t *testing.T) {
	path := harbourIn(t, t.TempDir())
	keys := func(sets ...string) (far map[string]bool, keys map[string]sdf.Digest) {
		s, err := set.Open(t.Context(), strings.NewReader(""), path, set.Selection{Sets: sets})
		require.NoError(t, err)
		require.NoError(t, s.Settle(&set.Options{Setting: set.SettingFine}))
		cut, err := s.Cut(nil)
		require.NoError(t, err)
		far, keys = map[string]bool{}, map[string]sdf.Digest{}
		for _, p := range cut.Pieces {
			size, at := r3.Sub(p.Box.Max, p.Box.Min), p.Pose.Apply(r3.Vec{})
			far[p.Name] = math.Hypot(at.X-66, at.Y-52)-math.Hypot(size.X, size.Y)/2 > 9+30
			keys[p.Name], err = piece.SolidKey(t.Context(), cut, &p, cut.MeshOptions(&p))
			require.NoError(t, err)
		}
		return far, keys
	}
	far, was := keys()
	_, now := keys("crater.hit.at=[67, 52]")
	require.NotEqual(t, was["captain"], now["captain"])
	kept := 0
	for name := range far {
		if far[name] {
			kept++
			require.Equal(t, was[name], now[name], name)
		}
	}
	require.GreaterOrEqual(t, kept, 3)
}
