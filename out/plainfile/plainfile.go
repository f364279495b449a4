// Package plainfile reads files that others may have put there. What is not a plain
// file is refused before it is read: a pipe may keep its reader waiting for ever, and
// a device may have no end. So is what is larger than it can be.
package plainfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
)

// ErrNotPlain is the error of a folder, a pipe, a socket or a device.
var ErrNotPlain = errors.New("not a plain file")

// TooLargeError is the error of a file that is larger than it may be.
type TooLargeError struct {
	Path string
	Most int64 // bytes
}

func (e *TooLargeError) Error() string {
	size := fmt.Sprintf("%d bytes", e.Most)
	for _, u := range []struct {
		word  string
		bytes int64
	}{{"GiB", 1 << 30}, {"MiB", 1 << 20}, {"KiB", 1 << 10}} {
		if e.Most >= u.bytes && e.Most%u.bytes == 0 {
			size = fmt.Sprintf("%d %s", e.Most/u.bytes, u.word)
			break
		}
	}
	return e.Path + " is larger than " + size
}

// Open opens a plain file, or a link to one, to be read. The error is as of os.Open,
// or wraps ErrNotPlain.
func Open(path string) (*os.File, fs.FileInfo, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, nil, notPlain(path, info)
	}
	// Without waiting: a pipe may be put there in between.
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, nil, err
	}
	if info, err = f.Stat(); err == nil && !info.Mode().IsRegular() {
		err = notPlain(path, info)
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, info, nil
}

func notPlain(path string, info fs.FileInfo) error {
	what := "a device"
	switch mode := info.Mode(); {
	case mode.IsDir():
		what = "a folder"
	case mode&fs.ModeNamedPipe != 0:
		what = "a pipe"
	case mode&fs.ModeSocket != 0:
		what = "a socket"
	}
	return fmt.Errorf("%s is %s, %w", path, what, ErrNotPlain)
}

// Read gives the whole of a plain file of at most so many bytes. Its size is looked at
// first, and no more than that is read where it lies. The error is as of Open, or a
// *TooLargeError.
func Read(path string, most int64) ([]byte, error) {
	f, info, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info.Size() > most {
		return nil, &TooLargeError{path, most}
	}
	var text bytes.Buffer
	text.Grow(int(info.Size()) + bytes.MinRead)
	if _, err := text.ReadFrom(io.LimitReader(f, most+1)); err != nil {
		return nil, err
	}
	if int64(text.Len()) > most { // it has grown, or has no size of its own
		return nil, &TooLargeError{path, most}
	}
	return text.Bytes(), nil
}
