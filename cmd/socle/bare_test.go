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
	"socle/cmd/set/inspection"
	"socle/out/inspect"
	"socle/out/inspect/tree"
	"socle/scenes"
	"socle/scenes/theme"
	"socle/sdf/mesh"
)

// bareSweep gives the scenes that SOCLE_BARE asks for, as "shipped themes=temple,mill
// seeds=1..20 cell=0.2", by what they are called; base says which base of each.
func bareSweep(t *testing.T, asked string) (named []string, texts map[string][]byte, cell float64, base string) {
	var shipped, themed []string
	first, last := uint64(1), uint64(1)
	cell, texts = 0.2, map[string][]byte{}
	for _, word := range strings.Fields(asked) {
		key, value, given := strings.Cut(word, "=")
		list := strings.Split(value, ",")
		var err error
		switch {
		case key == "shipped" && given:
			shipped = list
		case key == "shipped":
			shipped = scenes.Shipped()
		case key == "themes" && given:
			themed = list
		case key == "themes":
			themed = theme.Names()
		case key == "cell":
			cell, err = strconv.ParseFloat(value, 64)
			require.NoError(t, err)
		case key == "base":
			base = value
		case key == "seeds":
			from, to, two := strings.Cut(value, "..")
			if !two {
				to = from
			}
			first, err = strconv.ParseUint(from, 10, 64)
			require.NoError(t, err)
			last, err = strconv.ParseUint(to, 10, 64)
			require.NoError(t, err)
		default:
			t.Fatalf("SOCLE_BARE: %q is none of shipped, themes, seeds, cell, base", word)
		}
	}
	add := func(name string, text []byte, err error) {
		require.NoError(t, err, name)
		named, texts[name] = append(named, name), text
	}
	for _, name := range shipped {
		text, err := scenes.Open(name)
		add(name, text, err)
	}
	for _, name := range themed {
		for seed := first; seed <= last; seed++ {
			made, err := theme.Scene(theme.Ask{Theme: name, Scale: 56, Seed: seed})
			require.NoError(t, err)
			add(fmt.Sprintf("%s-seed-%d", name, seed), []byte(made.Text), nil)
		}
	}
	return named, texts, cell, base
}

// TestBareShares meshes the bases that SOCLE_BARE asks for, and prints how much of each
// is dead flat: none more than a tenth.
func TestBareShares(t *testing.T) {
	asked, ok := os.LookupEnv("SOCLE_BARE")
	if !ok {
		t.Skip("measures what SOCLE_BARE asks for: see DEVELOPERS.md")
	}
	named, texts, cell, base := bareSweep(t, asked)
	measured, over := 0, 0
	for _, name := range named {
		read, err := scenes.Read(name+".toml", texts[name], nil)
		require.NoError(t, err, name)
		s := set.New(name, read)
		require.NoError(t, s.Settle(&set.Options{Setting: set.SettingFine, Cell: &cell}))
		cut, err := s.Cut(nil)
		require.NoError(t, err, name)
		for i := range cut.Pieces {
			p := &cut.Pieces[i]
			if base != "" && !slices.Contains([]string{p.Name, p.Base.Name}, base) {
				continue
			}
			solid, err := mesh.Build(t.Context(), p.Field, cut.MeshOptions(p))
			require.NoError(t, err, "%s: %s", name, p.Name)
			x, err := tree.New(t.Context(), solid.Vertices, solid.Triangles)
			require.NoError(t, err)
			top := inspection.TopOf(p.Intent(cut.Site))
			b, _, err := inspect.Bare(t.Context(), x, top)
			require.NoError(t, err)
			told := "    "
			if b.Share > top.Most {
				told = "BARE"
				over++
			}
			fmt.Printf("%s %.2f  %-24s %-20s %6d windows %8d triangles\n", told, b.Share, name, p.Name, b.Windows, len(solid.Triangles))
			measured++
		}
	}
	require.Positive(t, measured)
	require.Zero(t, over, "of %d bases are over a tenth bare, at cells of %g mm", measured, cell)
}
