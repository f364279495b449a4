package out

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"time"

	"github.com/gofrs/flock"
)

// stage is the folder that a batch is written in. Its lock is held for as long as
// somebody is at it; the system lets go of it with the process.
type stage struct {
	dir  string
	root *os.Root
	name string
	lock *flock.Flock
}

const (
	lockName = "lock"
	turnName = ".socle.lock" // held by who puts files in place

	turnWait  = time.Minute // for the turn: it takes moments
	turnRetry = 20 * time.Millisecond
)

var (
	stageName  = regexp.MustCompile(`^\.socle-[0-9a-z]{1,13}\.part$`)
	stagedName = regexp.MustCompile(`^[0-9]{1,9}$`)
)

func isStaged(name string) bool { return stagedName.MatchString(name) }

// newStage makes a stage in a folder.
func newStage(dir string, root *os.Root) (*stage, error) {
	const tries = 100
	for try := 1; ; try++ {
		s := &stage{dir: dir, root: root, name: stageForm()}
		err := root.Mkdir(s.name, 0o777)
		if err == nil {
			s.lock = flock.New(filepath.Join(dir, s.name, lockName))
			var held bool
			if held, err = s.lock.TryLock(); err == nil && held && isLocked(s.lock) {
				return s, nil
			}
			if errors.Is(err, errors.ErrUnsupported) { // no locks here: nobody else can tell either
				return s, nil
			}
			s.remove() // swept away by another before it was locked
		} else if !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		if try == tries {
			return nil, fmt.Errorf("no folder could be had in %s to write in: %w", dir, err)
		}
	}
}

// isLocked says whether the file that is locked is still the one by that name.
func isLocked(l *flock.Flock) bool {
	locked, err := l.Stat()
	if err != nil {
		return false
	}
	there, err := os.Lstat(l.Path())
	return err == nil && os.SameFile(locked, there)
}

// remove removes the stage with what a batch puts there, and lets go of it; files is how
// many of the batch were in it.
func (s *stage) remove() (files int) {
	if entries, err := fs.ReadDir(s.root.FS(), s.name); err == nil {
		for _, e := range entries {
			staged := isStaged(e.Name())
			if staged || e.Name() == journalName {
				_ = s.root.Remove(filepath.Join(s.name, e.Name()))
			}
			if staged {
				files++
			}
		}
	}
	release(s.lock)
	_ = s.root.Remove(s.name) // refused where there is something else in it
	return files
}

// leave lets go of the stage and leaves it to who comes next.
func (s *stage) leave() { _ = s.lock.Unlock() }

// release removes a lock's file and lets go of it.
func release(l *flock.Flock) {
	_ = os.Remove(l.Path())
	_ = l.Unlock()
	if runtime.GOOS == "windows" { // where nobody can remove what is open
		_ = os.Remove(l.Path())
	}
}

// turn is the right to put files in place in a folder.
type turn struct{ lock *flock.Flock }

// takeTurn waits for the turn in a folder.
func takeTurn(dir string) (*turn, error) {
	ctx, cancel := context.WithTimeout(context.Background(), turnWait)
	defer cancel()
	for {
		t := &turn{flock.New(filepath.Join(dir, turnName))}
		held, err := t.lock.TryLockContext(ctx, turnRetry)
		switch {
		case ctx.Err() != nil:
			return nil, fmt.Errorf("another run has been putting its files into %s for %v", dir, turnWait)
		case errors.Is(err, errors.ErrUnsupported):
			return t, nil
		case err != nil:
			return nil, err
		case held && isLocked(t.lock):
			return t, nil
		}
		_ = t.lock.Unlock() // of a file that another has removed
	}
}

func (t *turn) end() { release(t.lock) }
