package jobs

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/cmd/set/piece"
	"socle/cmd/set/report"
	"socle/parts/assembly"
	"socle/sdf/mesh"
)

// What lies in the place of a piece takes memory only once it is known to be whole.
func TestSizeOfAPieceIsNoReasonToRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.piece")
	header := Header{Scene: "court", Piece: "a"}
	whole, err := PackPiece(header, piece.Result{Err: errCorruptPiece})
	require.NoError(t, err)
	for _, size := range []int64{256 << 20, 5 << 29} {
		require.NoError(t, os.WriteFile(path, whole, 0o666))
		require.NoError(t, os.Truncate(path, size))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, _, err := readPiece(path, header)
		runtime.ReadMemStats(&after)
		require.ErrorIs(t, err, errCorruptPiece)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20), "bytes")
	}
}

// What could not be made is told of, with its place, as where it was made.
func TestFailureComesBack(t *testing.T) {
	proof := &mesh.ProofError{At: r3.Vec{X: 1, Y: 2, Z: 3}, Why: "two sheets cross"}
	for _, why := range []error{proof, fmt.Errorf("made: %w", proof), errors.New("it broke down")} {
		header := Header{Scene: "court", Piece: "a"}
		whole, err := PackPiece(header, piece.Result{Err: why})
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), "a.piece")
		require.NoError(t, os.WriteFile(path, whole, 0o666))
		m, _, err := readPiece(path, header)
		require.NoError(t, err)
		piece := &assembly.Piece{Name: "a"}
		require.Equal(t, report.FailedOf(piece, why), report.FailedOf(piece, m.Err))
	}
}

// Any change of a piece file shows.
func TestDamagedPieceIsRefused(t *testing.T) {
	whole, err := PackPiece(Header{Piece: "a"}, piece.Result{Err: errCorruptPiece})
	require.NoError(t, err)
	unpack := func(data []byte) error {
		_, _, err := UnpackPiece(bytes.NewReader(data), int64(len(data)))
		return err
	}
	require.NoError(t, unpack(whole))
	rapid.Check(t, func(r *rapid.T) {
		bad := bytes.Clone(whole)
		at := rapid.IntRange(0, len(bad)-1).Draw(r, "at")
		bad[at] ^= rapid.ByteRange(1, 255).Draw(r, "bits")
		require.Error(r, unpack(bad))
		require.Error(r, unpack(whole[:at]))
		// whole by its sum, but of any bytes
		any := append([]byte(pieceMagic), rapid.SliceOf(rapid.Byte()).Draw(r, "any")...)
		sum := sha256.Sum256(any)
		_ = unpack(append(any, sum[:]...)) // no panic
	})
}
