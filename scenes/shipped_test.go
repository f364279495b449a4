package scenes

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/base"
)

func TestShippedScenes(t *testing.T) {
	require.GreaterOrEqual(t, len(Shipped()), 4)
	require.NotContains(t, Shipped(), "starter")
	for _, name := range Shipped() {
		t.Run(name, func(t *testing.T) {
			text, err := Open(name)
			require.NoError(t, err)
			s, err := Read(name+".toml", text, nil)
			require.NoError(t, err)
			require.NotEmpty(t, s.Site.Title)
			bases, footprints, kinds := 0, map[string]bool{}, map[string]bool{}
			for _, p := range s.Site.Parts {
				kinds[parts.WordOf(p)] = true
				b, ok := p.(*base.Base)
				if !ok {
					continue
				}
				bases += b.Count
				for _, word := range footprintWords {
					if s.placedAs(b).fields[word] != nil {
						footprints[word] = true
					}
				}
			}
			require.GreaterOrEqual(t, bases, 6)
			require.GreaterOrEqual(t, len(footprints), 2, "mixed footprints")
			require.GreaterOrEqual(t, len(kinds), 6, "many parts: %v", kinds)
			require.Greater(t, strings.Count(string(text), "#"), 15, "comments that teach")
		})
	}
}

var footprintWords = []string{"round", "oval", "rectangle", "square", "hexagon", "stadium"}

// placedAs gives the table that a part was read from.
func (s *Scene) placedAs(p parts.Part) *node {
	for _, placed := range s.placed {
		if placed.part == p {
			return placed.node
		}
	}
	panic(fmt.Sprintf("%s is not in the scene", p.Label()))
}

func TestStarter(t *testing.T) {
	s, err := Read("starter.toml", Starter(), nil)
	require.NoError(t, err)
	require.NotEmpty(t, parts.AllOf[*base.Base](s.Site))
}

func TestOpenOfNothing(t *testing.T) {
	_, err := Open("saltmere-qauy")
	require.ErrorContains(t, err, `Did you mean "saltmere-quay"?`)
	_, err = Open("starter")
	require.Error(t, err)
}

func TestReadFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "quay.toml")
	require.NoError(t, os.WriteFile(path, []byte(quay), 0o600))
	s, err := ReadFile(path, nil)
	require.NoError(t, err)
	require.Equal(t, "Quay", s.Site.Title)
	_, err = ReadFile(dir, nil)
	require.ErrorContains(t, err, "folder")
	_, err = ReadFile(filepath.Join(dir, "none.toml"), nil)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, make([]byte, MaxSize+1), 0o600))
	_, err = ReadFile(path, nil)
	require.ErrorContains(t, err, "quay.toml:1:1: larger than 4 MiB")
}

// TestTitle: a scene without a title is called by its file.
func TestTitle(t *testing.T) {
	s, err := Read("folder/old-quay.toml", []byte(strings.Replace(quay, "title = \"Quay\"\n", "", 1)), nil)
	require.NoError(t, err)
	require.Equal(t, "old-quay", s.Site.Title)
}
