package store

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const roomy = 1 << 30

func keyOf(name string) Key { return sha256.Sum256([]byte(name)) }

func open(t testing.TB, dir string, limit int64) *Store {
	s, err := Open(dir, limit)
	require.NoError(t, err)
	return s
}

func TestGivesBackWhatWasPut(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(r *rapid.T) {
		var k Key
		copy(k[:], rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(r, "key"))
		data := rapid.SliceOf(rapid.Byte()).Draw(r, "data")
		require.NoError(r, open(t, dir, roomy).Put(k, data))
		got, ok := open(t, dir, roomy).Get(k)
		require.True(r, ok)
		require.True(r, bytes.Equal(data, got))
	})
	_, ok := open(t, dir, roomy).Get(keyOf("never put"))
	require.False(t, ok)
}

// A flip of any bits, or an end cut off or added, anywhere in the file.
func TestDamagedEntryIsRemoved(t *testing.T) {
	s := open(t, t.TempDir(), roomy)
	k := keyOf("walker")
	path := s.path(k)
	rapid.Check(t, func(r *rapid.T) {
		require.NoError(r, s.Put(k, rapid.SliceOfN(rapid.Byte(), 0, 200).Draw(r, "data")))
		whole, err := os.ReadFile(path)
		require.NoError(r, err)
		switch rapid.SampledFrom([]string{"flip", "cut", "add"}).Draw(r, "damage") {
		case "flip":
			at := rapid.IntRange(0, len(whole)-1).Draw(r, "at")
			whole[at] ^= rapid.ByteRange(1, 255).Draw(r, "bits")
		case "cut":
			whole = whole[:rapid.IntRange(0, len(whole)-1).Draw(r, "length")]
		case "add":
			whole = append(whole, rapid.SliceOfN(rapid.Byte(), 1, 20).Draw(r, "more")...)
		}
		require.NoError(r, os.WriteFile(path, whole, 0o666))
		_, ok := s.Get(k)
		require.False(r, ok)
		require.NoFileExists(r, path)
	})
}

func TestOtherThingsInPlaceOfAnEntry(t *testing.T) {
	k := keyOf("walker")
	for name, put := range map[string]func(s *Store) error{
		"the entry of another key": func(s *Store) error {
			if err := s.Put(keyOf("scout"), []byte("a scout")); err != nil {
				return err
			}
			return os.Rename(s.path(keyOf("scout")), s.path(k))
		},
		"an empty folder": func(s *Store) error { return os.Mkdir(s.path(k), 0o777) },
		"a link to the entry": func(s *Store) error {
			if err := s.Put(k, []byte("a walker")); err != nil {
				return err
			}
			if err := os.Rename(s.path(k), s.path(k)+".moved"); err != nil {
				return err
			}
			return os.Symlink(s.path(k)+".moved", s.path(k))
		},
		"nothing in it":      func(s *Store) error { return os.WriteFile(s.path(k), nil, 0o666) },
		"one that is sparse": func(s *Store) error { return sparse(s.path(k), 1<<40) },
	} {
		t.Run(name, func(t *testing.T) {
			s := open(t, t.TempDir(), roomy)
			require.NoError(t, os.MkdirAll(filepath.Dir(s.path(k)), 0o777))
			if err := put(s); err != nil && name != "the entry of another key" {
				t.Skip("cannot be had here:", err)
			} else {
				require.NoError(t, err)
			}
			_, ok := s.Get(k)
			require.False(t, ok)
			_, err := os.Lstat(s.path(k))
			require.ErrorIs(t, err, os.ErrNotExist)
			require.NoError(t, s.Put(k, []byte("again")))
			data, ok := s.Get(k)
			require.True(t, ok)
			require.Equal(t, "again", string(data))
		})
	}
}

func sparse(path string, size int64) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Truncate(size)
}

// What lies there takes memory only once it is known to be an entry, whatever its size.
func TestSizeIsNoReasonToRead(t *testing.T) {
	const size = 256 << 20
	k := keyOf("walker")
	for name, headed := range map[string]bool{"zeros": false, "zeros with the head of an entry of that size": true} {
		t.Run(name, func(t *testing.T) {
			s := open(t, t.TempDir(), roomy)
			require.NoError(t, os.MkdirAll(filepath.Dir(s.path(k)), 0o777))
			require.NoError(t, sparse(s.path(k), size))
			if headed {
				f, err := os.OpenFile(s.path(k), os.O_WRONLY, 0)
				require.NoError(t, err)
				h := begin(k, size-int64(headSize))
				_, err = f.WriteAt(h, 0)
				require.NoError(t, err)
				require.NoError(t, f.Close())
			}
			require.Less(t, allocated(func() {
				_, ok := s.Get(k)
				require.False(t, ok)
			}), uint64(1<<20), "bytes")
			require.NoFileExists(t, s.path(k))
		})
	}
	t.Run("the marker", func(t *testing.T) {
		dir := t.TempDir()
		require.NoError(t, sparse(filepath.Join(dir, marker), size))
		require.Less(t, allocated(func() {
			_, err := Open(dir, roomy)
			require.ErrorContains(t, err, "says something else")
		}), uint64(1<<20), "bytes")
	})
}

// allocated is the memory that was taken in the meantime, bytes.
func allocated(do func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// A folder with something in it is not an entry, and may be someone's.
func TestFullFolderInPlaceIsLeft(t *testing.T) {
	s := open(t, t.TempDir(), roomy)
	k := keyOf("walker")
	kept := filepath.Join(s.path(k), "kept")
	require.NoError(t, os.MkdirAll(kept, 0o777))
	_, ok := s.Get(k)
	require.False(t, ok)
	require.Error(t, s.Put(k, []byte("a walker")))
	_, err := s.Clear()
	require.NoError(t, err)
	require.DirExists(t, kept)
	u, err := s.Usage()
	require.NoError(t, err)
	require.Zero(t, u.Temporaries, "the Put that failed left nothing")
}

func TestUnreadableEntryIsNotThere(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("whoever runs this reads every file")
	}
	s := open(t, t.TempDir(), roomy)
	k := keyOf("walker")
	require.NoError(t, s.Put(k, []byte("a walker")))
	require.NoError(t, os.Chmod(s.path(k), 0))
	_, ok := s.Get(k)
	require.False(t, ok)
	require.NoFileExists(t, s.path(k))
}

func TestForeignFolderIsRefused(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "letter.txt")
	require.NoError(t, os.WriteFile(file, []byte("dear"), 0o666))
	_, err := Open(dir, roomy)
	require.ErrorContains(t, err, "not a cache of socle")
	require.FileExists(t, file)
	_, err = Open(file, roomy)
	require.Error(t, err)

	dir = t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, marker), []byte("mine"), 0o666))
	_, err = Open(dir, roomy)
	require.ErrorContains(t, err, "says something else")

	_, err = Open(t.TempDir(), 0)
	require.ErrorContains(t, err, "more than 0")
}

// Files of others that were put into a store stay when it is cleared.
func TestClearLeavesWhatIsNotItsOwn(t *testing.T) {
	s := open(t, t.TempDir(), roomy)
	k := keyOf("walker")
	require.NoError(t, s.Put(k, []byte("a walker")))
	strange := []string{
		filepath.Join(s.dir, "letter.txt"),
		filepath.Join(filepath.Dir(s.path(k)), "letter.txt"),
		filepath.Join(s.dir, "zz", filepath.Base(s.path(k))),
	}
	require.NoError(t, os.MkdirAll(filepath.Join(s.dir, "zz"), 0o777))
	for _, f := range strange {
		require.NoError(t, os.WriteFile(f, []byte("dear"), 0o666))
	}
	went, err := s.Clear()
	require.NoError(t, err)
	require.Equal(t, 1, went.Entries)
	require.Equal(t, int64(headSize+len("a walker")), went.Bytes)
	for _, f := range strange {
		require.FileExists(t, f)
	}
	left, err := open(t, s.dir, roomy).Usage()
	require.NoError(t, err)
	require.Zero(t, left.Entries)
}

// The least recently used goes, though it was put last.
func TestOldestUseGoesFirst(t *testing.T) {
	const room = 1000
	size := int64(headSize + room)
	s := open(t, t.TempDir(), 10*size)
	start := time.Now().Add(-1000 * time.Hour)
	for i := range 10 {
		k := keyOf(fmt.Sprint(i))
		require.NoError(t, s.Put(k, make([]byte, room)))
		at := start.Add(time.Duration((i*7)%10) * time.Hour) // an order that is not theirs
		require.NoError(t, os.Chtimes(s.path(k), at, at))
	}
	_, ok := s.Get(keyOf("0")) // the oldest, now the newest
	require.True(t, ok)
	require.NoError(t, s.Put(keyOf("more"), make([]byte, room)))
	u, err := s.Usage()
	require.NoError(t, err)
	require.Equal(t, 9, u.Entries, "down to nine tenths")
	require.Equal(t, 9*size, u.Bytes)
	for i := range 10 {
		turn := (i * 7) % 10
		_, err := os.Stat(s.path(keyOf(fmt.Sprint(i))))
		require.Equal(t, turn == 1 || turn == 2, err != nil, "entry %d, used as number %d", i, turn)
	}
	require.FileExists(t, s.path(keyOf("more")))
}

func TestUseIsNotedOnceAnHour(t *testing.T) {
	s := open(t, t.TempDir(), roomy)
	k := keyOf("walker")
	require.NoError(t, s.Put(k, nil))
	used := func() time.Time {
		_, ok := s.Get(k)
		require.True(t, ok)
		info, err := os.Stat(s.path(k))
		require.NoError(t, err)
		return info.ModTime()
	}
	for _, c := range []struct {
		age   time.Duration
		noted bool
	}{{50 * time.Minute, false}, {70 * time.Minute, true}, {-70 * time.Minute, true}} {
		at := time.Now().Add(-c.age).Truncate(time.Second)
		require.NoError(t, os.Chtimes(s.path(k), at, at))
		require.Equal(t, c.noted, !used().Equal(at), "after %v", c.age)
	}
}

// Whatever is put, it holds no more than its limit, and what was put last.
func TestHoldsNoMoreThanItsLimit(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		dir, err := os.MkdirTemp("", "socle-store")
		require.NoError(r, err)
		defer os.RemoveAll(dir)
		limit := rapid.Int64Range(int64(headSize), 4000).Draw(r, "limit")
		s := open(t, dir, limit)
		for i, size := range rapid.SliceOfN(rapid.IntRange(0, 1500), 1, 12).Draw(r, "sizes") {
			k := keyOf(fmt.Sprint(i))
			fits := int64(headSize+size) <= limit
			require.Equal(r, fits, s.Put(k, make([]byte, size)) == nil)
			_, ok := s.Get(k)
			require.Equal(r, fits, ok)
			u, err := s.Usage()
			require.NoError(r, err)
			require.LessOrEqual(r, u.Bytes, limit)
		}
	})
}

// What a process that was ended left is swept, what one is writing is not.
func TestInterruptedPut(t *testing.T) {
	s := open(t, t.TempDir(), roomy)
	k := keyOf("walker")
	folder := filepath.Dir(s.path(k))
	require.NoError(t, os.MkdirAll(folder, 0o777))
	old, fresh := filepath.Join(folder, tempPrefix+"old"+tempSuffix), filepath.Join(folder, tempPrefix+"fresh"+tempSuffix)
	for _, f := range []string{old, fresh} {
		require.NoError(t, os.WriteFile(f, head(k, []byte("a walker"))[:20], 0o666))
	}
	ago := time.Now().Add(-2 * time.Hour)
	require.NoError(t, os.Chtimes(old, ago, ago))
	_, ok := s.Get(k)
	require.False(t, ok, "half an entry is none")
	u, err := s.Usage()
	require.NoError(t, err)
	require.Equal(t, Usage{Limit: roomy, Temporaries: 2, TemporaryBytes: 40}, u)
	require.NoError(t, s.Put(k, []byte("a walker")), "which looks through the folder")
	require.NoFileExists(t, old)
	require.FileExists(t, fresh)
	require.NoError(t, os.Chtimes(fresh, ago, ago))
	went, err := s.Clear()
	require.NoError(t, err)
	require.Equal(t, 1, went.Temporaries)
	require.NoFileExists(t, fresh)
}

func TestFolderDeletedMeanwhile(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "deep", "cache"), roomy)
	require.NoError(t, os.RemoveAll(s.dir))
	u, err := s.Usage()
	require.NoError(t, err)
	require.Zero(t, u.Entries)
	require.NoError(t, s.Put(keyOf("walker"), []byte("a walker")))
	data, ok := open(t, s.dir, roomy).Get(keyOf("walker"))
	require.True(t, ok, "and it is marked as a store again")
	require.Equal(t, "a walker", string(data))
}

// Stores that know nothing of each other, as of several processes, on one folder:
// nobody reads what was not put, and nothing breaks where entries go.
func TestSeveralOnOneFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	const each, keys = 150, 12
	dataOf := func(i int) []byte { return bytes.Repeat([]byte{byte(i)}, 300+40*i) }
	limit := int64(6 * (headSize + 500))
	var work sync.WaitGroup
	for n := range 4 {
		work.Go(func() {
			s, err := Open(dir, limit)
			if err != nil {
				t.Error(err)
				return
			}
			for i := range each {
				i := (i*(n+5) + n) % keys
				k := keyOf(fmt.Sprint(i))
				if data, ok := s.Get(k); ok && !bytes.Equal(data, dataOf(i)) {
					t.Errorf("entry %d came back as another", i)
				}
				if err := s.Put(k, dataOf(i)); err != nil {
					t.Error(err)
				}
				if i == 3 && n == 0 {
					if _, err := s.Clear(); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	work.Wait()
	s := open(t, dir, limit)
	require.NoError(t, s.Put(keyOf("last"), nil))
	u, err := s.Usage()
	require.NoError(t, err)
	require.LessOrEqual(t, u.Bytes, limit)
	require.Zero(t, u.Temporaries)
}
