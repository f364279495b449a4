package build

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/report"
	"socle/parts/assembly"
)

// said keeps what a bar is told.
type said struct {
	noProgress
	lines []string
}

func (s *said) Tell(text string) { s.lines = append(s.lines, text) }

// The first picture is in place before the other pieces begin, and only that of the first
// piece that has one; a piece that cannot be made keeps no other waiting.
func TestFirstPieceIsSeenFirst(t *testing.T) {
	for _, c := range []struct {
		name, seen string
		broken     bool // the first piece
	}{{"sound", "one", false}, {"broken", "two", true}} {
		t.Run(c.name, func(t *testing.T) {
			s := &firstSight{to: t.TempDir()}
			bar := &said{}
			pieces := []assembly.Piece{{Name: "one"}, {Name: "two"}}
			place := func(name string) string { return filepath.Join(s.to, "pictures", name, "three-quarter.png") }
			maker := s.before(func(_ context.Context, p *assembly.Piece, _ func(float64)) piece.Result {
				if p.Name == "one" && c.broken {
					return piece.Result{Err: errors.New("cannot be proven")}
				}
				if p.Name == "two" && !c.broken {
					require.FileExists(t, place("one"))
				}
				s.put(p, &look.Shot{Name: "three-quarter", Png: []byte(p.Name)})
				return piece.Result{}
			}, pieces, bar, func(string) {})
			require.NoError(t, piece.Produce(t.Context(), pieces, maker, func(int, float64) {}, func(int, piece.Result) error { return nil }))
			text, err := os.ReadFile(place(c.seen))
			require.NoError(t, err)
			require.Equal(t, c.seen, string(text))
			require.Equal(t, []string{"first picture: " + filepath.ToSlash(place(c.seen))}, bar.lines)
			all, err := filepath.Glob(filepath.Join(s.to, "pictures", "*"))
			require.NoError(t, err)
			require.Len(t, all, 1)
		})
	}
}

// A picture that the build put there itself is none that it found there unchanged; one that
// stood there before is.
func TestFirstPictureIsCountedOnce(t *testing.T) {
	dir := t.TempDir()
	shot := &look.Shot{Name: "top", Png: []byte("picture")}
	for _, want := range []int{1, 0} {
		s := &firstSight{to: dir}
		pieces := []assembly.Piece{{Name: "one"}}
		maker := s.before(func(_ context.Context, p *assembly.Piece, _ func(float64)) piece.Result {
			s.put(p, shot)
			return piece.Result{}
		}, pieces, &said{}, func(string) {})
		maker(t.Context(), &pieces[0], nil)
		files := &output.Folder{Path: dir, Tell: func(string) {}}
		written, err := files.Add("pictures/one/top.png", func(w io.Writer) error {
			_, err := w.Write(shot.Png)
			return err
		})
		require.NoError(t, err)
		same, err := files.Commit()
		require.NoError(t, err)
		require.Equal(t, 1, same)
		r := &report.Report{Pictures: []report.Picture{{Base: "one", View: "top", File: written}}}
		require.Equal(t, want, s.counted(r))
	}
	require.Zero(t, (*firstSight)(nil).counted(&report.Report{}))
}

// Where none of the pieces has a picture before its inspection, all are made.
func TestNothingToSee(t *testing.T) {
	s := &firstSight{to: t.TempDir()}
	pieces := []assembly.Piece{{Name: "one"}, {Name: "two"}}
	made := 0
	maker := s.before(func(_ context.Context, p *assembly.Piece, _ func(float64)) piece.Result {
		s.put(p, nil)
		return piece.Result{}
	}, pieces, &said{}, func(string) {})
	require.NoError(t, piece.Produce(t.Context(), pieces, maker, func(int, float64) {}, func(int, piece.Result) error { made++; return nil }))
	require.Equal(t, 2, made)
	entries, err := os.ReadDir(s.to)
	require.NoError(t, err)
	require.Empty(t, entries)
}
