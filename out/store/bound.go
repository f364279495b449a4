package store

import (
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Usage is what a store holds, or what went when it was cleared.
type Usage struct {
	Entries        int
	Bytes          int64     // of the entries
	Oldest, Newest time.Time // use of an entry; zero where there is none
	Limit          int64     // bytes
	Temporaries    int       // files that a process is writing, or left when it was ended
	TemporaryBytes int64
}

// found is a file of the store.
type found struct {
	path string
	size int64 // bytes
	used time.Time
}

// look finds all entries and temporaries, in the order of their names. Whatever
// else lies in the folder is not the store's.
func (s *Store) look() (entries, temporaries []found, err error) {
	folders, err := os.ReadDir(s.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil // deleted meanwhile
	}
	if err != nil {
		return nil, nil, err
	}
	for _, folder := range folders {
		in := s.dir
		inside := []fs.DirEntry{folder}
		if folder.IsDir() {
			if b, err := hex.DecodeString(folder.Name()); err != nil || len(b) != 1 {
				continue
			}
			in = filepath.Join(s.dir, folder.Name())
			if inside, err = os.ReadDir(in); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return nil, nil, err
			}
		}
		for _, e := range inside {
			entry := folder.IsDir() && isEntry(e.Name(), folder.Name())
			if !e.Type().IsRegular() || !entry && !isTemp(e.Name()) {
				continue
			}
			info, err := e.Info()
			if errors.Is(err, fs.ErrNotExist) {
				continue // another process was faster
			}
			if err != nil {
				return nil, nil, err
			}
			f := found{filepath.Join(in, e.Name()), info.Size(), info.ModTime()}
			if entry {
				entries = append(entries, f)
			} else {
				temporaries = append(temporaries, f)
			}
		}
	}
	return entries, temporaries, nil
}

func isEntry(name, folder string) bool {
	b, err := hex.DecodeString(name)
	return err == nil && len(b) == len(Key{}) && strings.HasPrefix(name, folder)
}

// bound notes that an entry was put and, where the limit is passed, lets others go.
func (s *Store) bound(put string, size int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.held += size // too much where it replaces one: the folder is looked through sooner
	s.since += size
	if s.scanned && s.held <= s.limit && float64(s.since) < lookShare*float64(s.limit) {
		return nil
	}
	entries, temporaries, err := s.look()
	if err != nil {
		return err
	}
	s.sweep(temporaries)
	s.scanned, s.since, s.held = true, 0, 0
	for _, e := range entries {
		s.held += e.size
	}
	if s.held <= s.limit {
		return nil
	}
	slices.SortStableFunc(entries, func(a, b found) int { return a.used.Compare(b.used) })
	for _, e := range entries {
		if float64(s.held) <= keptShare*float64(s.limit) {
			break
		}
		if e.path != put && gone(os.Remove(e.path)) {
			s.held -= e.size
		}
	}
	return nil
}

// sweep removes temporaries that no process is writing, and gives those.
func (s *Store) sweep(temporaries []found) (swept []found) {
	for _, t := range temporaries {
		if s.now().Sub(t.used) > sweepAfter && gone(os.Remove(t.path)) {
			swept = append(swept, t)
		}
	}
	return swept
}

// gone says whether a file is no more, whoever removed it.
func gone(err error) bool { return err == nil || errors.Is(err, fs.ErrNotExist) }

// Usage tells what the store holds.
func (s *Store) Usage() (Usage, error) {
	entries, temporaries, err := s.look()
	return s.count(entries, temporaries), err
}

// Clear removes all entries, and temporaries that no process is writing, and gives
// what went. The fault is that of the first entry which could not be removed.
func (s *Store) Clear() (Usage, error) {
	entries, temporaries, err := s.look()
	if err != nil {
		return s.count(nil, nil), err
	}
	var went []found
	for _, e := range entries {
		removed := os.Remove(e.path)
		if gone(removed) {
			went = append(went, e)
		} else if err == nil {
			err = removed
		}
	}
	s.mu.Lock()
	s.scanned = false
	s.mu.Unlock()
	return s.count(went, s.sweep(temporaries)), err
}

func (s *Store) count(entries, temporaries []found) Usage {
	u := Usage{Entries: len(entries), Limit: s.limit, Temporaries: len(temporaries)}
	for i, e := range entries {
		u.Bytes += e.size
		if i == 0 || e.used.Before(u.Oldest) {
			u.Oldest = e.used
		}
		if e.used.After(u.Newest) {
			u.Newest = e.used
		}
	}
	for _, t := range temporaries {
		u.TemporaryBytes += t.size
	}
	return u
}
