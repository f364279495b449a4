package out

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
)

// AtomicFile is a file that appears whole or not at all. It is written beside
// its place under a name of its own; Commit moves it there. Until then a file
// that was there before is untouched, and Discard leaves no trace.
type AtomicFile struct {
	path string // where it will stand
	temp string // where it is written
	file stream // nil once sealed or discarded
	done bool   // committed or discarded
	err  error  // the first fault, which stays
}

// stream is what AtomicFile needs of an *os.File.
type stream interface {
	io.Writer
	Sync() error
	Close() error
}

// CreateAtomic begins a file that will stand at path, in a folder that exists. It takes
// over the permissions of the file that it replaces.
func CreateAtomic(path string) (*AtomicFile, error) {
	info, err := os.Lstat(path)
	if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s exists and is not a plain file: left unchanged", path)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	const tries = 100
	for try := 1; ; try++ {
		name := "." + filepath.Base(path) + "." + strconv.FormatUint(rand.Uint64(), 36) + ".part"
		temp := filepath.Join(filepath.Dir(path), name)
		f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) && try < tries {
			continue
		}
		if err != nil {
			return nil, err
		}
		if info != nil {
			if err := f.Chmod(info.Mode().Perm()); err != nil {
				f.Close()
				os.Remove(temp)
				return nil, err
			}
		}
		return &AtomicFile{path: path, temp: temp, file: f}, nil
	}
}

// KeepOwner gives the file the owner and the group of another, before it is sealed.
func (f *AtomicFile) KeepOwner(other fs.FileInfo) error {
	if file, ok := f.file.(*os.File); ok {
		return keepOwner(file, other)
	}
	return nil
}

// Write adds to the file. After a fault it only gives that fault again.
func (f *AtomicFile) Write(p []byte) (int, error) {
	if f.err == nil && f.file == nil {
		f.err = fmt.Errorf("%s: written to after it was sealed", f.path)
	}
	if f.err != nil {
		return 0, f.err
	}
	n, err := f.file.Write(p)
	f.err = err
	return n, err
}

// Seal ends the writing: all of it is on the disk, under the name of its own.
func (f *AtomicFile) Seal() error {
	if f.file != nil {
		if f.err == nil {
			f.err = f.file.Sync()
		}
		if err := f.file.Close(); f.err == nil {
			f.err = err
		}
		f.file = nil
	}
	return f.err
}

// Commit seals the file and moves it to its place. On any fault it discards
// the file, and what stood there before still stands.
func (f *AtomicFile) Commit() error {
	if f.done {
		return f.err
	}
	if f.Seal() == nil {
		f.err = os.Rename(f.temp, f.path)
	}
	if f.err != nil {
		f.Discard()
		return f.err
	}
	f.done = true
	return nil
}

// Discard removes what was written. After Commit, or a second time, it does
// nothing, so it can be deferred.
func (f *AtomicFile) Discard() {
	if f.done {
		return
	}
	f.done = true
	if f.file != nil {
		f.file.Close() // nothing of it is kept
		f.file = nil
	}
	os.Remove(f.temp)
	if f.err == nil {
		f.err = fmt.Errorf("%s: discarded", f.path)
	}
}
