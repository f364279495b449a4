package main

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"socle/out"
)

// outputs are the files of one build. They appear together when the build is done, so
// that a build which is broken off, or for which the disk is too small, changes nothing.
type outputs struct {
	dir  string
	tell func(text string) // is told of what was found there

	batch *out.Batch
	sets  []*setFile
}

// fileReport is a file that was written.
type fileReport struct {
	File   string `json:"file"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// outputFile is one file that is being written.
type outputFile struct{ *out.BatchFile }

func (f *outputFile) report() fileReport {
	return fileReport{File: filepath.ToSlash(f.Path()), Bytes: f.Bytes(), SHA256: f.SHA256()}
}

// recoverFolder finishes or sweeps away what a run left in a folder that was broken off.
func recoverFolder(dir string, tell func(string)) error {
	o := &outputs{dir: dir, tell: tell}
	if err := o.possible(); err != nil {
		return &Failure{Kind: NotWritten, Err: err}
	}
	if err := out.Recover(dir, tell); err != nil {
		return &Failure{Kind: NotWritten, Err: err}
	}
	return nil
}

// create begins a file in the folder, which is made if need be, as are folders
// within it that the name, with slashes, asks for.
func (o *outputs) create(name string) (*outputFile, error) {
	if err := o.open(); err != nil {
		return nil, err
	}
	f, err := o.batch.Create(name)
	if err != nil {
		return nil, err
	}
	return &outputFile{f}, nil
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

// open makes the folder, so that what stands against it shows at once.
func (o *outputs) open() error {
	if o.batch == nil {
		o.batch = out.NewBatch(o.dir, o.tell)
	}
	return o.batch.Open()
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
		o.sets = o.sets[1:]
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
// byte, is left as it is, and keeps its time: same is how many are.
func (o *outputs) commit() (same int, err error) {
	if o.batch == nil {
		return 0, nil
	}
	return o.batch.Commit()
}

// discard removes whatever was not committed, and the folders made for it that
// are left empty.
func (o *outputs) discard() {
	o.sets = nil
	if o.batch != nil {
		o.batch.Discard()
	}
}
