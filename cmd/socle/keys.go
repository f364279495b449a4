package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"io"
	"os"
	"sync"

	"socle/out/picture"
	"socle/parts/assembly"
	"socle/sdf"
	"socle/sdf/mesh"
)

// thisTool tells this socle from any other that might make another piece of the same
// scene: by its release, or by the commit that it was built from with nothing changed,
// and the Go version; where there is neither, by the bytes of the program.
var thisTool = sync.OnceValues(func() (string, error) {
	info := buildInfo()
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	if commit := settings["vcs.revision"]; commit != "" && settings["vcs.modified"] == "false" {
		return "commit " + commit + " " + info.GoVersion, nil
	}
	if v := info.Main.Version; v != "" && v != "(devel)" && settings["vcs.modified"] != "true" {
		return "release " + v + " " + info.GoVersion, nil
	}
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", err
	}
	return fmt.Sprintf("program %x", sum.Sum(nil)), nil
})

// solidKey tells what the solid of a piece and its inspection depend on. Pieces of one
// key are the same, bit by bit. It fails where a part has no digest.
func (s *scene) solidKey(ctx context.Context, p *assembly.Piece, o mesh.Options) (sdf.Digest, error) {
	tool, err := thisTool()
	if err != nil {
		return sdf.Digest{}, err
	}
	o.Box, o.Heights = p.Box, p.Heights
	o.KeepLoose = s.keepsLoose()
	reach, err := mesh.Reach(ctx, p.Field, o)
	if err != nil {
		return sdf.Digest{}, err
	}
	told, err := s.whole.Digest(*p)
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		Tool        string
		Reach, Told sdf.Digest
	}{tool, reach, told})
}

// lookKey tells what a drawing of a piece depends on, which has the solid of a key.
func (a *artist) lookKey(solid sdf.Digest) (sdf.Digest, error) {
	return sdf.DigestOf(struct {
		Solid     sdf.Digest
		Size      image.Point
		Views     []string
		Own       *picture.View
		PNG, Page bool
	}{solid, a.size, a.views, a.own, a.png, a.page})
}

// pieceKey tells what all of a piece depends on: its solid and, unless draws is nil,
// what is drawn of it.
func (s *scene) pieceKey(ctx context.Context, p *assembly.Piece, fineness resolution, draws *artist) (sdf.Digest, error) {
	key, err := s.solidKey(ctx, p, fineness.options())
	if err == nil && draws != nil {
		key, err = draws.lookKey(key)
	}
	return key, err
}
