package out

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/gofrs/flock"
)

// Recover looks in a folder for runs that were broken off while they wrote into it. One
// that was putting its files in place is finished; what another had written before that
// is removed. Each is told. A folder that is not there needs nothing.
func Recover(dir string, tell func(string)) error {
	root, err := os.OpenRoot(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer root.Close()
	stages, err := stagesIn(root)
	if err != nil {
		return err
	}
	if _, err := root.Lstat(turnName); len(stages) == 0 && err != nil {
		return nil // nor does anybody hold the turn, or did when it was ended
	}
	turn, err := takeTurn(dir)
	if err != nil {
		return err
	}
	defer turn.end()
	return recoverAll(dir, root, tell)
}

func stagesIn(root *os.Root) (names []string, err error) {
	entries, err := fs.ReadDir(root.FS(), ".")
	for _, e := range entries {
		if e.IsDir() && stageName.MatchString(e.Name()) {
			names = append(names, e.Name())
		}
	}
	return names, err
}

// recoverAll does what Recover does, for who has the turn.
func recoverAll(dir string, root *os.Root, tell func(string)) error {
	stages, err := stagesIn(root)
	if err != nil {
		return err
	}
	for _, name := range stages {
		if err := recoverStage(dir, root, name, tell); err != nil {
			return fmt.Errorf("an earlier run was stopped while it moved its files into %s, and socle cannot finish that: %w; to continue without them, delete %s",
				dir, err, filepath.Join(dir, name))
		}
	}
	return nil
}

func recoverStage(dir string, root *os.Root, name string, tell func(string)) error {
	j, err := readJournal(root, name)
	if err != nil {
		return err
	}
	s := &stage{dir: dir, root: root, name: name, lock: flock.New(filepath.Join(dir, name, lockName))}
	var held bool
	if j == nil {
		held, err = s.lock.TryLock()
	} else {
		// Who has a journal has the turn, or comes to its end just now.
		ctx, cancel := context.WithTimeout(context.Background(), turnWait)
		defer cancel()
		held, err = s.lock.TryLockContext(ctx, turnRetry)
	}
	if err != nil || !held {
		if j != nil {
			return errors.Join(errors.New("it seems to be still running"), err)
		}
		return nil // somebody is writing there, or nobody can tell
	}
	if j, err = readJournal(root, name); err != nil {
		s.leave()
		return err
	}
	if j == nil {
		if s.remove() > 0 {
			tell(fmt.Sprintf("an earlier run into %s was stopped: its unfinished files were removed, and the files there are unchanged", dir))
		}
		return nil
	}
	before := 0
	for _, f := range j.Files {
		if _, err := root.Lstat(filepath.Join(name, f.As)); errors.Is(err, fs.ErrNotExist) {
			before++
		}
	}
	if err = j.intact(root, name); err == nil {
		_, err = j.prepare(root)
	}
	if err == nil {
		_, err = j.carryOut(root, name)
	}
	if err != nil {
		s.leave()
		return err
	}
	s.remove()
	tell(fmt.Sprintf("an earlier run was stopped while it moved its files into %s, with %d of %d in place: the others are in place now", dir, before, len(j.Files)))
	return nil
}
