package vary

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"socle/cmd/set"
	"socle/out"
	"socle/out/plainfile"
	"socle/scenes"
)

// heldFile is a scene file that is to be changed: no other socle changes it meanwhile,
// and what anyone else does to it is seen before it is replaced.
type heldFile struct {
	path string // with links followed: they stay
	file *os.File
	text []byte
}

// Hold waits until no other socle holds the file, and reads it.
func Hold(ctx context.Context, path string) (*heldFile, error) {
	return set.Await(ctx, func() (*heldFile, error) {
		real, err := filepath.EvalSymlinks(path)
		if err != nil {
			return nil, err
		}
		for {
			h, err := tryHold(real)
			if h != nil || err != nil {
				return h, err
			}
		}
	})
}

// tryHold gives nil where another file was put in the place while it waited.
func tryHold(path string) (*heldFile, error) {
	f, info, err := plainfile.Open(path)
	if err != nil {
		return nil, err
	}
	h := &heldFile{path: path, file: f}
	if err := lockFile(f); err != nil {
		h.Release()
		return nil, fmt.Errorf("%s cannot be locked: %w", path, err)
	}
	if now, err := os.Stat(path); err != nil || !os.SameFile(info, now) {
		h.Release()
		return nil, err
	}
	if h.text, err = io.ReadAll(io.LimitReader(f, scenes.MaxSize+1)); err != nil {
		h.Release()
		return nil, err
	}
	return h, nil
}

// Release lets go of the file.
func (h *heldFile) Release() { h.file.Close() }

// replace puts a text in the place of the file, whole or not at all, with its owner and
// permissions. It refuses where the file is not to be written, has another name, which
// would keep the old text, or is no longer what was read.
func (h *heldFile) replace(text []byte) error {
	info, err := h.file.Stat()
	if err != nil {
		return err
	}
	if info.Mode().Perm()&0o200 == 0 {
		return fmt.Errorf("you may not write to %s", h.path)
	}
	if n := LinksOf(info); n > 1 {
		return fmt.Errorf("%s is a file with %d names, and the others would keep the old text", h.path, n)
	}
	next, err := out.CreateAtomic(h.path)
	if err != nil {
		return err
	}
	defer next.Discard()
	if err := next.KeepOwner(info); err != nil {
		return fmt.Errorf("%s belongs to another user, and saving it would change its owner: %w", h.path, err)
	}
	if _, err := next.Write(text); err != nil {
		return err
	}
	if err := next.Seal(); err != nil {
		return err
	}
	now, err := plainfile.Read(h.path, scenes.MaxSize)
	if err == nil && !bytes.Equal(now, h.text) {
		err = errors.New("its text is different now")
	}
	if err != nil {
		return fmt.Errorf("%s was changed in the meantime: %w", h.path, err)
	}
	return next.Commit()
}

// Keep adds values to the scene as a variant of a name, over another; "" for the scene as
// it is.
func (h *heldFile) Keep(name, over string, sets []string) error {
	kept, err := scenes.Keep(h.text, name, over, sets)
	if err != nil {
		return set.AsFaulty(err)
	}
	if err := h.replace(kept); err != nil {
		added := strings.TrimSpace(string(kept[len(h.text):]))
		return &set.Failure{Kind: set.NotWritten, Err: fmt.Errorf("nothing was saved: %w\nto add at the end of the scene:\n\n%s", err, added)}
	}
	return nil
}
