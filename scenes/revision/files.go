package revision

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/go-git/go-billy/v5"

	"socle/out/plainfile"
)

// files is a folder of git's own that is only read: plain files alone and, but for
// objects, of no more than mostFile.
type files string

// mostFile is far more than the references of any repository take, bytes.
const mostFile = 64 << 20

// opened is a file as go-git wants it.
type opened struct{ *os.File }

func (opened) Lock() error   { return nil }
func (opened) Unlock() error { return nil }

func (f files) path(name string) string {
	return filepath.Join(string(f), filepath.Join(string(filepath.Separator), name))
}

func (f files) Open(name string) (billy.File, error) {
	path := f.path(name)
	file, info, err := plainfile.Open(path)
	if err != nil {
		return nil, err
	}
	if info.Size() > mostFile && !strings.HasPrefix(filepath.ToSlash(name), "objects/") {
		file.Close()
		return nil, &plainfile.TooLargeError{Path: path, Most: mostFile}
	}
	return opened{file}, nil
}

func (f files) OpenFile(name string, flag int, _ fs.FileMode) (billy.File, error) {
	if flag&^(os.O_RDONLY) != 0 {
		return nil, billy.ErrReadOnly
	}
	return f.Open(name)
}

func (f files) ReadDir(name string) ([]fs.FileInfo, error) {
	entries, err := os.ReadDir(f.path(name))
	if err != nil {
		return nil, err
	}
	var all []fs.FileInfo
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			all = append(all, info)
		}
	}
	return all, nil
}

func (f files) Stat(name string) (fs.FileInfo, error)        { return os.Stat(f.path(name)) }
func (f files) Lstat(name string) (fs.FileInfo, error)       { return os.Lstat(f.path(name)) }
func (f files) Readlink(name string) (string, error)         { return os.Readlink(f.path(name)) }
func (f files) Join(parts ...string) string                  { return filepath.Join(parts...) }
func (f files) Chroot(name string) (billy.Filesystem, error) { return files(f.path(name)), nil }
func (f files) Root() string                                 { return string(f) }

func (files) Create(string) (billy.File, error)           { return nil, billy.ErrReadOnly }
func (files) TempFile(string, string) (billy.File, error) { return nil, billy.ErrReadOnly }
func (files) Rename(string, string) error                 { return billy.ErrReadOnly }
func (files) Remove(string) error                         { return billy.ErrReadOnly }
func (files) MkdirAll(string, fs.FileMode) error          { return billy.ErrReadOnly }
func (files) Symlink(string, string) error                { return billy.ErrReadOnly }
