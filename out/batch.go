package out

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"syscall"
)

// Batch is files that appear in a folder together. They are written in a folder of their
// own below it; Commit moves them to their places. A machine that stops meanwhile, or a
// disk that fails, leaves a journal: whoever next writes into the folder, or calls
// Recover, finishes by it, or sweeps away what was not yet whole. Nothing is written
// outside of the folder, by links either.
//
// Several processes may write into one folder at once: one after the other puts its
// files in place, and what each leaves is all of its own.
type Batch struct {
	dir  string
	tell func(string)

	root  *os.Root
	stage *stage
	made  []string // folders that were made, outermost first
	files []*BatchFile
	same  int
	done  bool // committed, or left to be finished by another
}

// NewBatch gives a batch for a folder, which is made if need be with the first file.
// What is found there of a run that was broken off is told to tell.
func NewBatch(dir string, tell func(string)) *Batch { return &Batch{dir: dir, tell: tell} }

// BatchFile is one file of a batch.
type BatchFile struct {
	batch *Batch
	name  string // from the folder, with slashes
	as    string // in the stage
	file  *os.File
	sum   hash.Hash
	bytes int64
	whole bool
	err   error // the first fault, which stays
}

// Create begins a file; name is from the folder, with slashes.
func (b *Batch) Create(name string) (*BatchFile, error) {
	if !filepath.IsLocal(filepath.FromSlash(name)) || path.Clean(name) != name || name == "." {
		return nil, fmt.Errorf("%q is no place in %s", name, b.dir)
	}
	if err := b.Open(); err != nil {
		return nil, err
	}
	was, err := b.standing(name)
	if err != nil {
		return nil, err
	}
	f := &BatchFile{batch: b, name: name, as: path.Join(b.stage.name, strconv.Itoa(len(b.files))), sum: sha256.New()}
	if f.file, err = b.root.OpenFile(f.as, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666); err != nil {
		return nil, err
	}
	b.files = append(b.files, f)
	if was != nil { // whoever could read that can read this
		if err := f.file.Chmod(was.Mode().Perm()); err != nil {
			f.Discard()
			return nil, err
		}
	}
	return f, nil
}

// Open makes the folder, as Create does, so that what stands against it shows at once.
func (b *Batch) Open() error {
	if b.done {
		return fmt.Errorf("the files of %s are in place already", b.dir)
	}
	if b.stage != nil {
		return nil
	}
	err := b.makeDir(b.dir)
	if err == nil {
		err = Recover(b.dir, b.tell)
	}
	if err == nil {
		b.root, err = os.OpenRoot(b.dir)
	}
	if err != nil {
		return err
	}
	b.stage, err = newStage(b.dir, b.root)
	return err
}

// makeDir makes a folder and those above it, and remembers which it made.
func (b *Batch) makeDir(dir string) error {
	if info, err := os.Stat(dir); err == nil {
		if !info.IsDir() {
			return fmt.Errorf("%s exists and is not a folder", dir)
		}
		return nil
	}
	if up := filepath.Dir(dir); up != dir {
		if err := b.makeDir(up); err != nil {
			return err
		}
	}
	err := os.Mkdir(dir, 0o777)
	if errors.Is(err, fs.ErrExist) {
		return nil // another process was faster
	}
	if err == nil {
		b.made = append(b.made, dir)
	}
	return err
}

// standing is the file in the place of a name; nil where there is none. What is not a
// plain file in a folder is an error.
func (b *Batch) standing(name string) (fs.FileInfo, error) {
	for up := path.Dir(name); up != "."; up = path.Dir(up) {
		if info, err := b.root.Stat(filepath.FromSlash(up)); err == nil && !info.IsDir() {
			return nil, fmt.Errorf("%s exists and is not a folder", b.path(up))
		} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	info, err := b.root.Lstat(filepath.FromSlash(name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s exists and is not a plain file: left unchanged", b.path(name))
	}
	return info, nil
}

func (b *Batch) path(name string) string { return filepath.Join(b.dir, filepath.FromSlash(name)) }

// Path is where the file will stand.
func (f *BatchFile) Path() string { return f.batch.path(f.name) }

// Bytes is how many were written.
func (f *BatchFile) Bytes() int64 { return f.bytes }

// SHA256 is that of what was written, hex.
func (f *BatchFile) SHA256() string { return hex.EncodeToString(f.sum.Sum(nil)) }

// Write adds to the file. After a fault it only gives that fault again.
func (f *BatchFile) Write(p []byte) (int, error) {
	if f.err == nil && f.file == nil {
		f.err = fmt.Errorf("%s: written to after its end", f.Path())
	}
	if f.err != nil {
		return 0, f.err
	}
	n, err := f.file.Write(p)
	f.err = err
	f.sum.Write(p[:n])
	f.bytes += int64(n)
	return n, err
}

// Seal ends the writing: all of it is on the disk, and Commit will move it.
func (f *BatchFile) Seal() error {
	if f.file != nil {
		if f.err == nil {
			f.err = syncFile(f.file, f.name)
		}
		if err := f.file.Close(); f.err == nil {
			f.err = err
		}
		f.file = nil
		f.whole = f.err == nil
	}
	return f.err
}

// Discard removes what was written, unless it was committed.
func (f *BatchFile) Discard() {
	if f.batch.done {
		return
	}
	if f.file != nil {
		f.file.Close() // nothing of it is kept
		f.file = nil
	}
	f.whole = false
	_ = f.batch.root.Remove(filepath.FromSlash(f.as)) // with the stage, else
}

// Commit moves all files that were sealed to their places. One that is there already,
// byte for byte, is left as it is, and keeps its time; same is how many are. Where it
// fails before the first is moved, nothing is changed.
func (b *Batch) Commit() (same int, err error) {
	if b.stage == nil || b.done {
		return b.same, nil
	}
	turn, err := takeTurn(b.dir)
	if err != nil {
		return 0, err
	}
	defer turn.end()
	if err := recoverAll(b.dir, b.root, b.tell); err != nil {
		return 0, err
	}
	j := journal{}
	for _, f := range b.files {
		switch {
		case !f.whole:
		case b.stands(f):
			f.Discard()
			b.same++
		default:
			j.Files = append(j.Files, journalFile{As: path.Base(f.as), Name: f.name, SHA256: f.SHA256()})
		}
	}
	if len(j.Files) > 0 {
		if err := b.put(&j); err != nil {
			return 0, err
		}
	}
	b.done = true
	b.stage.remove()
	b.close()
	return b.same, nil
}

// put moves the files of a journal to their places.
func (b *Batch) put(j *journal) error {
	made, err := j.prepare(b.root)
	if err == nil {
		err = j.write(b.root, b.stage.name)
	}
	if err != nil {
		_ = b.root.Remove(filepath.Join(b.stage.name, journalName))
		for _, dir := range slices.Backward(made) {
			_ = b.root.Remove(filepath.FromSlash(dir)) // refused where it is not empty
		}
		return err
	}
	placed, err := j.carryOut(b.root, b.stage.name)
	if err != nil {
		// Nobody is at it from here on: the next in the folder finishes it.
		b.done = true
		b.stage.leave()
		b.close()
		return fmt.Errorf("%d of %d files were put into %s, and the rest not: %w; the next run there puts them in place", placed, len(j.Files), b.dir, err)
	}
	return nil
}

// stands says whether a file with the same bytes is in its place.
func (b *Batch) stands(f *BatchFile) bool {
	info, err := b.root.Lstat(filepath.FromSlash(f.name))
	if err != nil || !info.Mode().IsRegular() || info.Size() != f.bytes {
		return false
	}
	sum, err := hashIn(b.root, f.name)
	return err == nil && bytes.Equal(sum, f.sum.Sum(nil))
}

// hashIn is the SHA-256 of a plain file in a folder.
func hashIn(root *os.Root, name string) ([]byte, error) {
	f, err := root.OpenFile(filepath.FromSlash(name), os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not a plain file", name)
	}
	sum := sha256.New()
	_, err = io.Copy(sum, f)
	return sum.Sum(nil), err
}

// Discard removes whatever was not committed, and the folders made for it that are left
// empty.
func (b *Batch) Discard() {
	if b.stage != nil && !b.done {
		for _, f := range b.files {
			f.Discard()
		}
		b.stage.remove()
	}
	b.done = true
	b.close()
	for _, dir := range slices.Backward(b.made) {
		os.Remove(dir) // refused where it is not empty
	}
}

func (b *Batch) close() {
	if b.root != nil {
		b.root.Close()
		b.root = nil
	}
}

// atStep is called before each step that a machine may stop at, or a disk fail at: what
// it gives is the fault.
var atStep = func(step string) error { return nil }

func syncFile(f *os.File, name string) error {
	if err := atStep("sync " + name); err != nil {
		return err
	}
	return f.Sync()
}

// syncDir sees to it that what was made, moved or removed in a folder is on the disk,
// where the system has a way to.
func syncDir(root *os.Root, name string) error {
	if err := atStep("sync the folder " + name); err != nil {
		return err
	}
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := root.Open(filepath.FromSlash(name))
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}

// stageForm gives the name of a stage from a number that nobody else has.
func stageForm() string { return ".socle-" + strconv.FormatUint(rand.Uint64(), 36) + ".part" }
