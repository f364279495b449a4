package build

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/inspection"
	"socle/cmd/set/piece"
	"socle/cmd/set/report"
	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/base"
	"socle/sdf"
	"socle/sdf/mesh"
)

// TestBuildThatCannotBeProven builds two pieces of which one is nothing at all.
func TestBuildThatCannotBeProven(t *testing.T) {
	dir := t.TempDir()
	earlier := filepath.Join(dir, "place.3mf")
	require.NoError(t, os.WriteFile(earlier, []byte("earlier"), 0o644))
	block := r3.Box{Min: sdf.V(-6, -5, 0), Max: sdf.V(6, 5, 2)}
	sound := assembly.Piece{Name: "sound", Base: &base.Base{}, Field: sdf.BoxBetween(block.Min, block.Max), Box: block}
	empty := assembly.Piece{
		Name: "empty", Base: &base.Base{}, Footprint: "none",
		Field: sdf.BoxBetween(sdf.V(50, 50, 50), sdf.V(51, 51, 51)), Box: r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 5)},
	}
	s := &set.Scene{Name: "place", Site: &parts.Site{Scale: parts.Scale{Ratio: 56}}, Resolution: set.Resolution{Cell: 1, Tolerance: 0.02}}
	b := &Build{
		Options: Options{To: dir, Formats: []string{set.FormatSTL, set.Format3MF}},
		Set:     &set.Set{Scene: s, Place: &assembly.Scene{}, Pieces: []assembly.Piece{sound, empty}},
		Maker: func(ctx context.Context, p *assembly.Piece, progress func(float64)) piece.Result {
			solid, err := mesh.Build(ctx, p.Field, set.OptionsFor(p, mesh.Options{Cell: 1, Tolerance: 0.02}))
			return piece.Result{Solid: solid, Err: err, Inspection: &inspection.Inspection{}}
		},
		Report: &report.Report{},
	}
	require.NoError(t, b.Run(t.Context(), noProgress{}, func(string) {}))
	require.Len(t, b.Report.Failed, 1)
	require.Equal(t, "empty", b.Report.Failed[0].Name)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2)
	require.FileExists(t, filepath.Join(dir, "sound.stl"))
	text, err := os.ReadFile(earlier)
	require.NoError(t, err)
	require.Equal(t, "earlier", string(text))
}

// noProgress shows nothing.
type noProgress struct{}

func TestFootprintsAreCounted(t *testing.T) {
	require.Equal(t, "oval 120 x 92; 2 of round 25 mm", footprints([]assembly.Piece{
		{Footprint: "oval 120 x 92"}, {Footprint: "round 25"}, {Footprint: "round 25"},
	}))
}

func (noProgress) Heading(string)         {}
func (noProgress) Start(set.Task) set.Bar { return noProgress{} }
func (noProgress) At(int, float64)        {}
func (noProgress) Made(int, bool, error)  {}
func (noProgress) Done(int, string)       {}
func (noProgress) Tell(string)            {}
func (noProgress) Finish()                {}
