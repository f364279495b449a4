//go:build darwin || linux

package vary

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// lockFile waits until no other process has locked the file. Closing it unlocks it.
func lockFile(f *os.File) error {
	for {
		if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX); !errors.Is(err, syscall.EINTR) {
			return err
		}
	}
}

// LinksOf is how many hard links a file has.
func LinksOf(info fs.FileInfo) int {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return int(s.Nlink)
	}
	return 1
}
