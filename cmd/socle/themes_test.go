package main

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/piece"
	"socle/parts"
	"socle/scenes"
	"socle/scenes/theme"
)

// sweptList has bases of every size.
const sweptList = "round25x4,round32x2,round50,oval90x52,square40x2"

// themeSweep is which themed scenes are built.
type themeSweep struct {
	themes []string
	lists  []string
	scales []float64
	seeds  []uint64
	cell   float64
	sets   []string // laid over each
}

// sweptThemes gives what SOCLE_THEMES asks for, as "cell=0.25 seeds=1..20 scales=56,100
// themes=temple,mill lists=own,mixed", each of which may be left out; without it a small
// sample, coarse.
func sweptThemes(t *testing.T) themeSweep {
	s := themeSweep{
		themes: theme.Names(), lists: []string{"round25"}, scales: []float64{56}, seeds: []uint64{11}, cell: 0.25,
		sets: []string{"printer.pixel=0.2", "printer.layer=0.1"},
	}
	asked, ok := os.LookupEnv("SOCLE_THEMES")
	if !ok {
		return s
	}
	s.lists, s.scales, s.cell = []string{"", sweptList}, []float64{56, 100, 285}, 0.25
	s.seeds = nil
	seeds := "1..20"
	for _, word := range strings.Fields(asked) {
		key, value, _ := strings.Cut(word, "=")
		switch key {
		case "cell":
			var err error
			s.cell, err = strconv.ParseFloat(value, 64)
			require.NoError(t, err)
		case "seeds":
			seeds = value
		case "themes":
			s.themes = strings.Split(value, ",")
		case "lists":
			s.lists = nil
			for _, list := range strings.Split(value, ",") {
				s.lists = append(s.lists, map[string]string{"own": "", "mixed": sweptList}[list])
			}
		case "scales":
			s.scales = nil
			for _, scale := range strings.Split(value, ",") {
				v, err := strconv.ParseFloat(scale, 64)
				require.NoError(t, err)
				s.scales = append(s.scales, v)
			}
		default:
			t.Fatalf("SOCLE_THEMES: %q is none of cell, seeds, themes, lists, scales", key)
		}
	}
	from, to, two := strings.Cut(seeds, "..")
	if !two {
		to = from
	}
	first, err := strconv.ParseUint(from, 10, 64)
	require.NoError(t, err)
	last, err := strconv.ParseUint(to, 10, 64)
	require.NoError(t, err)
	for seed := first; seed <= last; seed++ {
		s.seeds = append(s.seeds, seed)
	}
	if s.cell <= 0.1 {
		s.sets = nil // as fine as it is printed
	}
	return s
}

// TestThemesPrint builds and inspects themed scenes: none has a base that cannot be
// proven, or a stop.
func TestThemesPrint(t *testing.T) {
	sweep := sweptThemes(t)
	built, stops, warns := 0, map[string]int{}, map[string]int{}
	for _, name := range sweep.themes {
		for _, list := range sweep.lists {
			for _, scale := range sweep.scales {
				for _, seed := range sweep.seeds {
					about := fmt.Sprintf("%s --bases %q --scale %g --seed %d", name, list, scale, seed)
					made, err := theme.Scene(theme.Ask{Theme: name, Bases: list, Scale: scale, Seed: seed})
					require.NoError(t, err, about)
					read, err := scenes.Read(name+".toml", []byte(made.Text), sweep.sets)
					require.NoError(t, err, about)
					s := set.New(name, read)
					require.NoError(t, s.Settle(&set.Options{Setting: set.SettingFine, Cell: &sweep.cell}))
					set, err := s.Cut(nil)
					require.NoError(t, err, about)
					pieces := set.Pieces
					err = piece.Produce(t.Context(), pieces, piece.MakerFor(set, nil), func(int, float64) {}, func(i int, m piece.Result) error {
						if m.Err != nil {
							t.Errorf("%s: %s: %v", about, pieces[i].Name, m.Err)
							return nil
						}
						for _, f := range m.Inspection.Findings {
							switch f.Severity {
							case parts.SeverityStop:
								stops[f.Check]++
								t.Errorf("%s: %s: stop %s: %s, %s%s", about, pieces[i].Name, f.Check, f.Part, f.What, f.Where())
							case parts.SeverityWarn:
								warns[f.Check]++
							}
						}
						return nil
					})
					require.NoError(t, err, about)
					built += len(pieces)
				}
			}
		}
	}
	told := func(counts map[string]int) (all []string) {
		for check, n := range counts {
			all = append(all, fmt.Sprintf("%s %d", check, n))
		}
		slices.Sort(all)
		return all
	}
	t.Logf("%d bases at cells of %g mm: stops %v, warnings %v", built, sweep.cell, told(stops), told(warns))
	require.Positive(t, built)
}
