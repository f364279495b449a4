package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the list of frozen files anew; read the difference")

// frozenList holds the SHA-256 and the name of every frozen file, one a line.
const frozenList = "testdata/frozen.txt"

// frozenSet is a set whose files are frozen.
type frozenSet struct {
	name  string   // of its folder
	laid  []string // the arguments of socle new, for a theme; nil for a shipped scene
	build []string // the arguments of socle build
	short bool     // it is built with -short too
}

// fewBases are the bases of the themed sets: of several sizes, and few, to be quick.
const fewBases = "round32x3,oval60x35,square40,hexagon25"

var frozenSets = []frozenSet{
	{name: "saltmere-quay", build: []string{"saltmere-quay"}, short: true},
	{name: "saltmere-quay-high-water", build: []string{"saltmere-quay", "--variant", "high-water"}},
	{name: "saltmere-quay-years-later", build: []string{"saltmere-quay", "--variant", "years-later"}},
	{name: "vardy-street", build: []string{"vardy-street"}},
	{name: "brennock-foundry", build: []string{"brennock-foundry"}},
	{name: "ashlare-temple", build: []string{"ashlare-temple"}, short: true},
	{name: "ulmere-works", build: []string{"ulmere-works"}},
	{name: "wendle-ford", build: []string{"wendle-ford"}},
	{name: "rampart", short: true, build: []string{"rampart.toml"},
		laid: []string{"--theme", "rampart", "--bases", fewBases, "--seed", "7"}},
	{name: "mill-of-filament", short: true, build: []string{"mill-of-filament.toml", "--printer", "filament.toml"},
		laid: []string{"--theme", "mill", "--bases", fewBases, "--scale", "48", "--seed", "3"}},
}

// TestFrozen holds every printed byte: the STL, the 3MF, the plan and the JSON document
// of the shipped scenes with their variants and of two themed sets, and the scenes that
// the themes lay out. A file that comes out otherwise is a fault, or a change that
// somebody decided on: then -update renews the list, and the difference goes into the
// commit. What is not built (-short, -run TestFrozen/vardy-street) keeps its lines.
//
// Files are taken byte for byte. The document is too, but for "made_by", the version of
// socle and Go; in a file it has no times, and the places of files are within its
// folder. It has a second line, "without words", which leaves out the sentences and the
// scene's text with its comments: where only that line stays, only words have changed.
//
// The cell is coarse, and so is the printer that resin is inspected for. A larger cell
// takes hardly less time, as the shape halves it; -short leaves out the sets that take
// long. The hashes are of amd64, where they were taken.
//
// The sets are built once for all tests (builtSet).
func TestFrozen(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("the list is of amd64")
	}
	frozen := readFrozen(t)
	for name := range frozen {
		set, _, _ := strings.Cut(name, "/")
		known := slices.ContainsFunc(frozenSets, func(s frozenSet) bool { return s.name == set })
		require.True(t, known || *update, "%s missing: nothing builds it", name)
	}
	var lock sync.Mutex
	built := map[string]map[string]string{}
	t.Cleanup(func() { // when all sets are built
		if *update && !t.Failed() {
			writeFrozen(t, frozen, built)
		}
	})
	for _, s := range frozenSets {
		t.Run(s.name, func(t *testing.T) {
			if testing.Short() && !s.short {
				t.Skip("built without -short")
			}
			t.Parallel()
			hashes := s.hashes(t)
			lock.Lock()
			defer lock.Unlock()
			built[s.name] = hashes
			if *update {
				return
			}
			for _, fault := range unfrozen(s.of(frozen), hashes) {
				t.Error(fault)
			}
		})
	}
}

// frozenBuilds has what builds each of the frozen sets once, by its name.
var frozenBuilds sync.Map

// builtSet gives the folder of a frozen set, which is built once for every test that reads
// it: the scene of a theme is there, and the set is in the folder "to".
func builtSet(name string) (dir string, err error) {
	i := slices.IndexFunc(frozenSets, func(s frozenSet) bool { return s.name == name })
	if i < 0 {
		return "", fmt.Errorf("no set is called %s", name)
	}
	once, _ := frozenBuilds.LoadOrStore(name, sync.OnceValues(frozenSets[i].buildOnce))
	return once.(func() (string, error))()
}

// buildOnce builds the set in a folder of its own, which nobody may change.
func (s frozenSet) buildOnce() (dir string, err error) {
	dir = filepath.Join(scratch, "frozen", s.name)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return "", err
	}
	run := func(args ...string) error {
		cmd := exec.Command(socle, args...)
		cmd.Dir, cmd.Env = dir, append(os.Environ(), "SOCLE_CACHE=off")
		if text, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("socle %s: %w\n%s", strings.Join(args, " "), err, text)
		}
		return nil
	}
	build := []string{"build", "--quiet", "--to", "to", "--format", "stl,3mf,svg,json", "--cell", "2"}
	if !slices.Contains(s.build, "--printer") {
		build = append(build, "--set", "printer.pixel=0.2", "--set", "printer.layer=0.1")
	}
	if s.laid != nil {
		if err := run(append([]string{"new", s.name}, s.laid...)...); err != nil {
			return "", err
		}
		printer := "[printer]\nprocess = \"filament\"\nnozzle = 0.4\nlayer = 0.2\n"
		if err := os.WriteFile(filepath.Join(dir, "filament.toml"), []byte(printer), 0o644); err != nil {
			return "", err
		}
	}
	return dir, run(append(build, s.build...)...)
}

// hashes gives the hash of each file of the built set by its name.
func (s frozenSet) hashes(t *testing.T) map[string]string {
	dir, err := builtSet(s.name)
	require.NoError(t, err)
	to := filepath.Join(dir, "to")

	hashes := map[string]string{}
	hold := func(file string, text []byte) {
		hashes[s.name+"/"+file] = fmt.Sprintf("%x", sha256.Sum256(text))
	}
	if s.laid != nil {
		text, err := os.ReadFile(filepath.Join(dir, s.name+".toml"))
		require.NoError(t, err)
		hold(s.name+".toml", text)
	}
	require.NoError(t, fs.WalkDir(os.DirFS(to), ".", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(filepath.Join(to, path))
		if err != nil {
			return err
		}
		if filepath.Ext(path) == ".json" {
			text = madeBy.ReplaceAll(text, nil)
			hold(path+" without words", withoutWords(t, text))
		}
		hold(path, text)
		return nil
	}))
	return hashes
}

// madeBy is the version of socle and Go in a document.
var madeBy = regexp.MustCompile(`(?m)^  "made_by": .*\n`)

// wordKeys are the keys of a document whose values are sentences, phrases or the scene's text.
var wordKeys = []string{
	"assumed", "cautions", "change", "footprint", "law", "meaning", "source", "text", "what", "why", "yardstick",
}

// withoutWords is a document without the keys that are for people to read. Numbers keep
// their digits, keys are sorted.
func withoutWords(t *testing.T, text []byte) []byte {
	var doc any
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	require.NoError(t, d.Decode(&doc))
	var strip func(v any)
	strip = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for _, key := range wordKeys {
				delete(v, key)
			}
			for _, inner := range v {
				strip(inner)
			}
		case []any:
			for _, inner := range v {
				strip(inner)
			}
		}
	}
	strip(doc)
	less, err := json.Marshal(doc)
	require.NoError(t, err)
	return less
}

// unfrozen tells in what the built files differ from the frozen ones.
func unfrozen(frozen, built map[string]string) (faults []string) {
	for _, name := range slices.Sorted(maps.Keys(frozen)) {
		switch hash, ok := built[name]; {
		case !ok:
			faults = append(faults, name+" missing")
		case hash != frozen[name]:
			faults = append(faults, name+" changed")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(built)) {
		if _, ok := frozen[name]; !ok {
			faults = append(faults, name+" new")
		}
	}
	return faults
}

func TestUnfrozen(t *testing.T) {
	frozen := map[string]string{"a/same": "1", "a/other": "2", "a/gone": "3"}
	built := map[string]string{"a/same": "1", "a/other": "4", "a/more": "5"}
	require.Empty(t, unfrozen(frozen, frozen))
	require.Equal(t, []string{"a/gone missing", "a/other changed", "a/more new"}, unfrozen(frozen, built))
}

// of is what the list has of the set.
func (s frozenSet) of(frozen map[string]string) map[string]string {
	own := maps.Clone(frozen)
	maps.DeleteFunc(own, func(name, _ string) bool { return !strings.HasPrefix(name, s.name+"/") })
	return own
}

// readFrozen reads the list: the hash of each file by its name.
func readFrozen(t *testing.T) map[string]string {
	text, err := os.ReadFile(frozenList)
	if *update && os.IsNotExist(err) {
		return map[string]string{}
	}
	require.NoError(t, err)
	frozen := map[string]string{}
	for line := range strings.Lines(string(text)) {
		hash, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		require.True(t, ok, line)
		frozen[name] = hash
	}
	return frozen
}

// writeFrozen writes the list: the sets that were built anew, and the others as they
// were.
func writeFrozen(t *testing.T, frozen map[string]string, built map[string]map[string]string) {
	all := map[string]string{}
	for _, s := range frozenSets {
		if hashes, ok := built[s.name]; ok {
			maps.Copy(all, hashes)
		} else {
			maps.Copy(all, s.of(frozen))
		}
	}
	var text strings.Builder
	for _, name := range slices.Sorted(maps.Keys(all)) {
		fmt.Fprintf(&text, "%s  %s\n", all[name], name)
	}
	require.NoError(t, os.WriteFile(frozenList, []byte(text.String()), 0o644))
}
