//go:build darwin || linux

package out

import (
	"io/fs"
	"os"
	"syscall"
)

// keepOwner gives a file the owner and the group of another, where they differ.
func keepOwner(f *os.File, other fs.FileInfo) error {
	info, err := f.Stat()
	if err != nil {
		return err
	}
	is, ok := info.Sys().(*syscall.Stat_t)
	want, known := other.Sys().(*syscall.Stat_t)
	if !ok || !known || is.Uid == want.Uid && is.Gid == want.Gid {
		return nil
	}
	if err := f.Chown(int(want.Uid), int(want.Gid)); err != nil {
		return err
	}
	return f.Chmod(other.Mode().Perm())
}
