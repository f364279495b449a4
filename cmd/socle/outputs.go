package main

import (
	"fmt"
	"io"
	"path/filepath"

	"socle/out"
)

// outputs are the files of one build. They appear together when the build is done, so
// that a build which is broken off, or for which the disk is too small, changes nothing.
type outputs struct {
	dir      string
	messages io.Writer // where it tells what it found there; nil for nowhere

	batch *out.Batch
	set   *setFile
	same  int // of those committed, how many were there already, byte for byte
}

// outputFile is one file that is being written.
type outputFile struct{ *out.BatchFile }

func (f *outputFile) report() fileReport {
	return fileReport{File: filepath.ToSlash(f.Path()), Bytes: f.Bytes(), SHA256: f.SHA256()}
}

// tell says what was found in the folder.
func (o *outputs) tell(text string) {
	if o.messages != nil {
		fmt.Fprintln(o.messages, "socle:", text)
	}
}

// recover finishes or sweeps away what a run left in the folder that was broken off.
func (o *outputs) recover() error {
	if err := out.Recover(o.dir, o.tell); err != nil {
		return &exitError{exitNotWritten, err}
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

// setFile is the 3MF file, which grows with each base.
type setFile struct {
	file *outputFile
	*out.ThreeMF
}

// openSet begins the 3MF file.
func (o *outputs) openSet(name string, meta out.Meta) error {
	f, err := o.create(name)
	if err != nil {
		return err
	}
	w, err := out.NewThreeMF(f, meta)
	if err != nil {
		f.Discard()
		return fmt.Errorf("%s: %w", f.Path(), err)
	}
	o.set = &setFile{f, w}
	return nil
}

// closeSet ends the 3MF file.
func (o *outputs) closeSet() (fileReport, error) {
	err := o.set.Close()
	if err == nil {
		err = o.set.file.Seal()
	}
	if err != nil {
		return fileReport{}, fmt.Errorf("%s: %w", o.set.file.Path(), err)
	}
	r := o.set.file.report()
	o.set = nil
	return r, nil
}

// dropSet removes the 3MF file that was begun, if any.
func (o *outputs) dropSet() {
	if o.set != nil {
		o.set.file.Discard()
		o.set = nil
	}
}

// commit moves every whole file to its place. One that is there already, byte for
// byte, is left as it is, and keeps its time.
func (o *outputs) commit() (err error) {
	if o.batch != nil {
		o.same, err = o.batch.Commit()
	}
	return err
}

// discard removes whatever was not committed, and the folders made for it that
// are left empty.
func (o *outputs) discard() {
	o.set = nil
	if o.batch != nil {
		o.batch.Discard()
	}
}
