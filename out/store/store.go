// Package store keeps immutable entries on disk by key, for what can be made again:
// an entry that is damaged, or was let go, is one that is not there.
//
// Several processes may use one folder at once, without locks: an entry appears by
// a rename, whole, and all who make one of a key make the same.
package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"socle/out/plainfile"
)

// Key tells one entry from all others; the digest of what it was made from.
type Key [sha256.Size]byte

// Store is a folder of entries. It can be used from several goroutines.
type Store struct {
	dir   string
	limit int64 // bytes
	now   func() time.Time

	mu      sync.Mutex
	scanned bool  // whether the folder was looked through
	held    int64 // bytes, as far as is known
	since   int64 // bytes that were put since the folder was looked through
}

const (
	// marker is the file that says whose folder it is. A folder without it is not
	// touched, so that clearing it cannot cost anyone their files.
	marker     = "socle-cache.txt"
	markerText = "This folder is the cache of socle. All in it can be made again: it is safe to delete.\n"
	tempPrefix = ".socle-"
	tempSuffix = ".part"

	touchAfter = time.Hour // a use is noted no more often
	sweepAfter = time.Hour // a temporary file so old is of a process that was ended
	keptShare  = 0.9       // of the limit, where entries must go
	lookShare  = 0.05      // of the limit is put before the folder is looked through again: others put too
)

// Open gives the store in a folder, which is made if need be, to hold no more than
// so many bytes. A folder with files in it that is not a store is refused.
func Open(dir string, limit int64) (*Store, error) {
	if limit <= 0 {
		return nil, fmt.Errorf("a store of %d bytes: it must be more than 0", limit)
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	s := &Store{dir: dir, limit: limit, now: time.Now}
	return s, s.claim()
}

// Dir is the folder.
func (s *Store) Dir() string { return s.dir }

// Limit is the most that it holds, bytes.
func (s *Store) Limit() int64 { return s.limit }

// claim makes the folder and marks it.
func (s *Store) claim() error {
	if err := os.MkdirAll(s.dir, 0o777); err != nil {
		return err
	}
	path := filepath.Join(s.dir, marker)
	if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() {
		text, err := plainfile.Read(path, int64(len(markerText)))
		var large *plainfile.TooLargeError
		if errors.As(err, &large) || err == nil && string(text) != markerText {
			err = fmt.Errorf("%s is not a cache of socle: its %s says something else", s.dir, marker)
		}
		return err
	}
	inside, err := os.ReadDir(s.dir)
	if err != nil {
		return err
	}
	for _, e := range inside {
		if e.Name() != marker && !isTemp(e.Name()) { // which another process may have made just now
			return fmt.Errorf("%s has files in it and is not a cache of socle: name an empty folder or a new one", s.dir)
		}
	}
	return s.write(path, []byte(markerText))
}

func (s *Store) path(k Key) string {
	name := hex.EncodeToString(k[:])
	return filepath.Join(s.dir, name[:2], name)
}

// Get gives the data of an entry. One that is damaged is removed and is not there.
// An entry that was got counts as used, to an hour.
func (s *Store) Get(k Key) (data []byte, ok bool) {
	path := s.path(k)
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, false
	}
	if err == nil {
		data, err = s.read(path, k, info)
	}
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) { // another process let it go
			os.Remove(path)
		}
		return nil, false
	}
	now := s.now()
	if age := now.Sub(info.ModTime()); age > touchAfter || age < -touchAfter {
		_ = os.Chtimes(path, now, now) // it would only go sooner
	}
	return data, true
}

// read gives the data of an entry that is whole and of that key. Only then is there
// memory for it: what lies there may be of any size.
func (s *Store) read(path string, k Key, info fs.FileInfo) ([]byte, error) {
	if !info.Mode().IsRegular() || info.Size() > s.limit {
		return nil, errDamaged
	}
	f, info, err := plainfile.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if err := check(f, info.Size(), k); err != nil {
		return nil, err
	}
	data := make([]byte, info.Size()-int64(headSize))
	if _, err := f.ReadAt(data, int64(headSize)); err != nil {
		return nil, errDamaged
	}
	return data, nil
}

// Put keeps an entry, whole or not at all, and lets the least recently used go where
// the limit is passed. A fault costs no more than the entry: callers may ignore it.
func (s *Store) Put(k Key, data []byte) error {
	size := int64(headSize + len(data))
	if size > s.limit {
		return fmt.Errorf("an entry of %d bytes is more than the cache may hold, %d", size, s.limit)
	}
	path := s.path(k)
	folder := filepath.Dir(path)
	err := os.Mkdir(folder, 0o777)
	if errors.Is(err, fs.ErrNotExist) { // the whole of it was deleted meanwhile
		if err = s.claim(); err == nil {
			err = os.Mkdir(folder, 0o777)
		}
	}
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	if err := s.write(path, head(k, data), data); err != nil {
		return err
	}
	return s.bound(path, size)
}

// write writes a file beside its place and moves it there. What is not whole after
// a breakdown of the machine shows when it is read: it need not reach the disk now.
func (s *Store) write(path string, all ...[]byte) error {
	temp := filepath.Join(filepath.Dir(path), tempPrefix+strconv.FormatUint(rand.Uint64(), 36)+tempSuffix)
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	for _, data := range all {
		if err == nil {
			_, err = f.Write(data)
		}
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(temp, path)
	}
	if err != nil {
		os.Remove(temp)
	}
	return err
}

func isTemp(name string) bool {
	return strings.HasPrefix(name, tempPrefix) && strings.HasSuffix(name, tempSuffix)
}
