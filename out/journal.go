package out

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// journal is what a batch does to the files of a folder. It is written before the first
// is moved, and goes after the last.
type journal struct {
	Files []journalFile `json:"files"`
}

// journalFile is a file that has to be in its place, where the journal is carried out.
type journalFile struct {
	As     string `json:"as"`   // in the stage
	Name   string `json:"name"` // from the folder, with slashes
	SHA256 string `json:"sha256"`
}

const (
	journalName = "journal"
	mostJournal = 64 << 20 // bytes
)

// write writes the journal, with its sum on a line of its own, so that one which is not
// whole shows.
func (j *journal) write(root *os.Root, stage string) error {
	text, err := json.Marshal(j)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(text)
	text = append(text, "\n"+hex.EncodeToString(sum[:])+"\n"...)
	f, err := root.OpenFile(filepath.Join(stage, journalName), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err == nil {
		err = syncFile(f, journalName)
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = syncDir(root, stage)
	}
	if err == nil {
		err = syncDir(root, ".")
	}
	return err
}

// readJournal reads the journal of a stage; nil where there is none, or not the whole of
// one: then nothing was moved.
func readJournal(root *os.Root, stage string) (*journal, error) {
	name := filepath.Join(stage, journalName)
	info, err := root.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > mostJournal {
		return nil, nil
	}
	f, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostJournal))
	if err != nil {
		return nil, err
	}
	text, told, _ := bytes.Cut(text, []byte("\n"))
	sum := sha256.Sum256(text)
	var j journal
	if string(told) != hex.EncodeToString(sum[:])+"\n" || json.Unmarshal(text, &j) != nil {
		return nil, nil
	}
	for _, f := range j.Files {
		if !isStaged(f.As) || !filepath.IsLocal(filepath.FromSlash(f.Name)) {
			return nil, nil
		}
	}
	return &j, nil
}

// folders are those of the files, each before what is in it.
func (j *journal) folders() (all []string) {
	for _, f := range j.Files {
		for up := path.Dir(f.Name); ; up = path.Dir(up) {
			all = append(all, up)
			if up == "." {
				break
			}
		}
	}
	slices.Sort(all) // "." and "a" before "a/b"
	return slices.Compact(all)
}

// prepare makes the folders that are not there, gives those, and sees that what is in
// the places of files can be replaced.
func (j *journal) prepare(root *os.Root) (made []string, err error) {
	for _, dir := range j.folders() {
		err := root.Mkdir(filepath.FromSlash(dir), 0o777)
		switch {
		case err == nil:
			made = append(made, dir)
		case dir != "." && !errors.Is(err, fs.ErrExist):
			return made, err
		}
	}
	for _, f := range j.Files {
		if info, err := root.Lstat(filepath.FromSlash(f.Name)); err == nil && !info.Mode().IsRegular() {
			return made, fmt.Errorf("%s exists and is not a plain file: left unchanged", f.Name)
		}
	}
	return made, nil
}

// carryOut moves what is still in the stage to its place, and then removes the journal;
// placed is how many are in their places.
func (j *journal) carryOut(root *os.Root, stage string) (placed int, err error) {
	for _, f := range j.Files {
		from := filepath.Join(stage, f.As)
		if _, err := root.Lstat(from); errors.Is(err, fs.ErrNotExist) {
			placed++ // before
			continue
		}
		if err := atStep("rename " + f.Name); err != nil {
			return placed, err
		}
		if err := root.Rename(from, filepath.FromSlash(f.Name)); err != nil {
			return placed, err
		}
		placed++
	}
	for _, dir := range slices.Backward(j.folders()) {
		if err := syncDir(root, dir); err != nil {
			return placed, err
		}
	}
	if err := atStep("remove the journal"); err != nil {
		return placed, err
	}
	if err := root.Remove(filepath.Join(stage, journalName)); err != nil {
		return placed, err
	}
	return placed, syncDir(root, stage)
}

// intact says whether all that is still in the stage is what the journal says.
func (j *journal) intact(root *os.Root, stage string) error {
	for _, f := range j.Files {
		sum, err := hashIn(root, path.Join(stage, f.As))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil && hex.EncodeToString(sum) != f.SHA256 {
			err = fmt.Errorf("what was written for %s is damaged", f.Name)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
