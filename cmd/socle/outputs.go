package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"slices"

	"socle/out"
)

// outputs are the files of one build. They are written beside their places and
// appear together when the build is done, so that a build which is broken off,
// or for which the disk is too small, changes nothing.
type outputs struct {
	dir    string
	made   []string // folders that were made for this build, outermost first
	sealed []*outputFile
	sets   []*setFile
	same   int // of those committed, how many were there already, byte for byte
}

// outputFile is one file that is being written.
type outputFile struct {
	*out.AtomicFile
	hash  hash.Hash
	bytes int64
}

func (f *outputFile) Write(p []byte) (int, error) {
	n, err := f.AtomicFile.Write(p)
	f.hash.Write(p[:n])
	f.bytes += int64(n)
	return n, err
}

func (f *outputFile) report() fileReport {
	return fileReport{File: filepath.ToSlash(f.Path()), Bytes: f.bytes, SHA256: hex.EncodeToString(f.hash.Sum(nil))}
}

// create begins a file in the folder, which is made if need be, as are folders
// within it that the name, with slashes, asks for.
func (o *outputs) create(name string) (*outputFile, error) {
	path := filepath.Join(o.dir, filepath.FromSlash(name))
	if err := o.makeDir(filepath.Dir(path)); err != nil {
		return nil, err
	}
	f, err := out.CreateAtomic(path)
	if err != nil {
		return nil, err
	}
	return &outputFile{AtomicFile: f, hash: sha256.New()}, nil
}

// possible says, before any work is done, whether something stands where the folder is
// to be.
func (o *outputs) possible() error {
	for dir := o.dir; ; dir = filepath.Dir(dir) {
		switch info, err := os.Stat(dir); {
		case err == nil && !info.IsDir():
			return fmt.Errorf("%s is there and is not a folder", dir)
		case err == nil || dir == filepath.Dir(dir):
			return nil
		}
	}
}

// makeDir makes a folder and those above it, and remembers which it made.
func (o *outputs) makeDir(dir string) error {
	if info, err := os.Stat(dir); err == nil {
		if !info.IsDir() {
			return fmt.Errorf("%s is there and is not a folder", dir)
		}
		return nil
	}
	if up := filepath.Dir(dir); up != dir {
		if err := o.makeDir(up); err != nil {
			return err
		}
	}
	err := os.Mkdir(dir, 0o777)
	if errors.Is(err, os.ErrExist) {
		return nil // another process was faster
	}
	if err == nil {
		o.made = append(o.made, dir)
	}
	return err
}

// add writes one whole file.
func (o *outputs) add(name string, write func(io.Writer) error) (fileReport, error) {
	f, err := o.create(name)
	if err != nil {
		return fileReport{}, err
	}
	if err = write(f); err == nil {
		err = f.Seal()
	}
	if err != nil {
		f.Discard()
		return fileReport{}, fmt.Errorf("%s: %w", f.Path(), err)
	}
	o.sealed = append(o.sealed, f)
	return f.report(), nil
}

// setFile is the 3MF file of one plate, which grows with each base.
type setFile struct {
	file *outputFile
	*out.ThreeMF
	plate int // from 0
}

// setOf gives the 3MF file of a plate, which is begun under a name if need be.
func (o *outputs) setOf(plate int, name string, meta out.Meta) (*setFile, error) {
	for _, s := range o.sets {
		if s.plate == plate {
			return s, nil
		}
	}
	f, err := o.create(name)
	if err != nil {
		return nil, err
	}
	w, err := out.NewThreeMF(f, meta)
	if err != nil {
		f.Discard()
		return nil, fmt.Errorf("%s: %w", f.Path(), err)
	}
	s := &setFile{f, w, plate}
	o.sets = append(o.sets, s)
	return s, nil
}

// closeSets ends the 3MF files and gives them in the order of their plates.
func (o *outputs) closeSets() (all []fileReport, err error) {
	slices.SortFunc(o.sets, func(a, b *setFile) int { return cmp.Compare(a.plate, b.plate) })
	for len(o.sets) > 0 {
		s := o.sets[0]
		if err = s.Close(); err == nil {
			err = s.file.Seal()
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.file.Path(), err)
		}
		o.sealed, o.sets = append(o.sealed, s.file), o.sets[1:]
		all = append(all, s.file.report())
	}
	return all, nil
}

// dropSets removes the 3MF files that were begun, if any.
func (o *outputs) dropSets() {
	for _, s := range o.sets {
		s.file.Discard()
	}
	o.sets = nil
}

// commit moves every whole file to its place. One that is there already, byte for
// byte, is left as it is, and keeps its time.
func (o *outputs) commit() error {
	for _, f := range o.sealed {
		if f.standsAlready() {
			f.Discard()
			o.same++
			continue
		}
		if err := f.Commit(); err != nil {
			return err
		}
	}
	return nil
}

// standsAlready says whether a file with the same bytes is in its place.
func (f *outputFile) standsAlready() bool {
	info, err := os.Stat(f.Path())
	if err != nil || info.Size() != f.bytes {
		return false
	}
	sum, err := hashOf(f.Path())
	return err == nil && bytes.Equal(sum, f.hash.Sum(nil))
}

// discard removes whatever was not committed, and the folders made for it that
// are left empty.
func (o *outputs) discard() {
	o.dropSets()
	for _, f := range o.sealed {
		f.Discard()
	}
	for i := len(o.made) - 1; i >= 0; i-- {
		os.Remove(o.made[i]) // refused where it is not empty
	}
}
