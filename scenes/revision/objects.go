package revision

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/plumbing/storer"
	"github.com/go-git/go-git/v5/storage/filesystem"
	"github.com/go-git/go-git/v5/storage/filesystem/dotgit"

	"socle/out/plainfile"
)

const (
	mostObject     = 16 << 20 // bytes of a commit, a tag or a folder
	mostAlternates = 16       // folders of objects
	mostCached     = 32 << 20 // bytes of objects
)

// objects are those of a repository, and of the repositories that it borrows from. What
// is not there is not there: nothing is fetched.
type objects struct {
	storer.EncodedObjectStorer // for what it does not do itself
	all                        []*filesystem.Storage
}

// openObjects opens the objects below a folder of git's own.
func openObjects(own, common files) *objects {
	o := &objects{}
	options := filesystem.Options{LargeObjectThreshold: mostObject}
	seen := cache.NewObjectLRU(mostCached)
	o.all = []*filesystem.Storage{filesystem.NewStorageWithOptions(dotgit.NewRepositoryFilesystem(own, common), seen, options)}
	known := map[string]bool{common.path("objects"): true}
	borrow := []string{common.path("objects")}
	for len(borrow) > 0 && len(o.all) < mostAlternates {
		var lent []string
		for _, from := range alternates(borrow[0]) {
			if !known[from] && filepath.Base(from) == "objects" {
				known[from] = true
				lent = append(lent, from)
				o.all = append(o.all, filesystem.NewStorageWithOptions(files(filepath.Dir(from)), seen, options))
			}
		}
		borrow = append(borrow[1:], lent...)
	}
	o.EncodedObjectStorer = o.all[0]
	return o
}

// alternates lists the folders of objects that one borrows from (gitrepository-layout,
// objects/info/alternates).
func alternates(objects string) (all []string) {
	text, err := plainfile.Read(filepath.Join(objects, "info", "alternates"), mostFile)
	if err != nil {
		return nil
	}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\r\n")
		switch {
		case line == "" || line[0] == '#':
		case filepath.IsAbs(line):
			all = append(all, filepath.Clean(line))
		default:
			all = append(all, filepath.Join(objects, filepath.FromSlash(line)))
		}
	}
	return all
}

// EncodedObject gives an object, once its size is known to be within bounds.
func (o *objects) EncodedObject(t plumbing.ObjectType, h plumbing.Hash) (plumbing.EncodedObject, error) {
	for _, in := range o.all {
		size, err := in.EncodedObjectSize(h)
		if errors.Is(err, plumbing.ErrObjectNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if size > mostObject {
			return nil, fmt.Errorf("object %s is larger than %d MiB", h, mostObject>>20)
		}
		return in.EncodedObject(t, h)
	}
	return nil, plumbing.ErrObjectNotFound
}

// EncodedObjectSize is the size of an object, bytes.
func (o *objects) EncodedObjectSize(h plumbing.Hash) (int64, error) {
	for _, in := range o.all {
		if size, err := in.EncodedObjectSize(h); !errors.Is(err, plumbing.ErrObjectNotFound) {
			return size, err
		}
	}
	return 0, plumbing.ErrObjectNotFound
}

// beginning lists the objects whose hash begins so.
func (o *objects) beginning(prefix []byte) (all []plumbing.Hash) {
	for _, in := range o.all {
		if found, err := in.HashesWithPrefix(prefix); err == nil {
			all = append(all, found...)
		}
	}
	return all
}
