// Package output writes the files of one run into a folder. They appear together when the
// run is done; a run that is broken off changes nothing.
package output

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"socle/cmd/set"
	"socle/out"
)

// Folder are the files of one build. They appear together when the build is done, so
// that a build which is broken off, or for which the disk is too small, changes nothing.
type Folder struct {
	Path string
	Tell func(text string) // is told of what was found there

	batch  *out.Batch
	plates []*plateFile
}

// File is a file that was written.
type File struct {
	Path   string `json:"file"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// file is one file that is being written.
type file struct{ *out.BatchFile }

func (f *file) report() File {
	return File{Path: filepath.ToSlash(f.Path()), Bytes: f.Bytes(), SHA256: f.SHA256()}
}

// Recover finishes or sweeps away what a run left in a folder that was broken off.
func Recover(dir string, tell func(string)) error {
	o := &Folder{Path: dir, Tell: tell}
	if err := o.Possible(); err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	if err := out.Recover(dir, tell); err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	return nil
}

// create begins a file in the folder, which is made if need be, as are folders
// within it that the name, with slashes, asks for.
func (d *Folder) create(name string) (*file, error) {
	if err := d.Open(); err != nil {
		return nil, err
	}
	f, err := d.batch.Create(name)
	if err != nil {
		return nil, err
	}
	return &file{f}, nil
}

// Possible says, before any work is done, whether something stands where the folder is
// to be.
func (d *Folder) Possible() error {
	for dir := d.Path; ; dir = filepath.Dir(dir) {
		switch info, err := os.Stat(dir); {
		case err == nil && !info.IsDir():
			return fmt.Errorf("%s exists and is not a folder", dir)
		case err == nil || dir == filepath.Dir(dir):
			return nil
		}
	}
}

// Open makes the folder, so that what stands against it shows at once.
func (d *Folder) Open() error {
	if d.batch == nil {
		d.batch = out.NewBatch(d.Path, d.Tell)
	}
	return d.batch.Open()
}

// Add writes one whole file.
func (d *Folder) Add(name string, write func(io.Writer) error) (File, error) {
	f, err := d.create(name)
	if err != nil {
		return File{}, err
	}
	if err = write(f); err == nil {
		err = f.Seal()
	}
	if err != nil {
		f.Discard()
		return File{}, fmt.Errorf("%s: %w", f.Path(), err)
	}
	return f.report(), nil
}

// plateFile is the 3MF file of one plate, which grows with each base.
type plateFile struct {
	File *file
	*out.ThreeMF
	plate int // from 0
}

// PlateFile gives the 3MF file of a plate, which is begun under a name if need be.
func (d *Folder) PlateFile(plate int, name string, meta out.Meta) (*plateFile, error) {
	for _, s := range d.plates {
		if s.plate == plate {
			return s, nil
		}
	}
	f, err := d.create(name)
	if err != nil {
		return nil, err
	}
	w, err := out.NewThreeMF(f, meta)
	if err != nil {
		f.Discard()
		return nil, fmt.Errorf("%s: %w", f.Path(), err)
	}
	s := &plateFile{f, w, plate}
	d.plates = append(d.plates, s)
	return s, nil
}

// ClosePlates ends the 3MF files and gives them in the order of their plates.
func (d *Folder) ClosePlates() (all []File, err error) {
	slices.SortFunc(d.plates, func(a, b *plateFile) int { return cmp.Compare(a.plate, b.plate) })
	for len(d.plates) > 0 {
		s := d.plates[0]
		if err = s.Close(); err == nil {
			err = s.File.Seal()
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.File.Path(), err)
		}
		d.plates = d.plates[1:]
		all = append(all, s.File.report())
	}
	return all, nil
}

// DropPlates removes the 3MF files that were begun, if any.
func (d *Folder) DropPlates() {
	for _, s := range d.plates {
		s.File.Discard()
	}
	d.plates = nil
}

// Commit moves every whole file to its place. One that is there already, byte for
// byte, is left as it is, and keeps its time: same is how many are.
func (d *Folder) Commit() (same int, err error) {
	if d.batch == nil {
		return 0, nil
	}
	return d.batch.Commit()
}

// Discard removes whatever was not committed, and the folders made for it that
// are left empty.
func (d *Folder) Discard() {
	d.plates = nil
	if d.batch != nil {
		d.batch.Discard()
	}
}
