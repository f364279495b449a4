package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"os"
	"path/filepath"

	"socle/out/plainfile"
	"socle/out/store"
	"socle/scenes"
	"socle/sdf"
)

// stamp is what a build left in a folder, so that the next of the same can tell that
// there is nothing to do without putting the scene together.
type stamp struct {
	Report *report
	Files  []stampedFile
}

// stampedFile is a file as the build left it.
type stampedFile struct {
	Path   string // from the folder
	Bytes  int64
	SHA256 string
}

// stampKey tells what all the files of a build depend on, and where they are.
func (b *build) stampKey() (sdf.Digest, error) {
	tool, err := thisTool()
	if err != nil {
		return sdf.Digest{}, err
	}
	dir, err := filepath.Abs(b.files.dir)
	if err != nil {
		return sdf.Digest{}, err
	}
	printer, err := b.printerText()
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		Tool, Dir, Name, Text string
		Sets                  []string
		Variant               string
		Printer               []byte
		Resolution            resolution
		Formats               formats
		Bases, Views          []string
		From, Size            string
		Advise                bool
	}{
		tool, dir, b.scene.name, b.scene.read.Text(), b.sets, b.variant, printer,
		b.resolution, b.formats, b.bases, b.views, b.from, b.size, b.advises,
	})
}

// printerText is what is in the printer's own file; nil where there is none.
func (c *chosen) printerText() ([]byte, error) {
	if c.printer == "" {
		return nil, nil
	}
	return plainfile.Read(c.printer, scenes.MaxSize)
}

// stampedReport takes the report of the last build of just this, if all that it left
// is there as it left it.
func (b *build) stampedReport() bool {
	if b.scene.cache == nil || len(b.formats) == 0 {
		return false
	}
	key, err := b.stampKey()
	if err != nil {
		return false
	}
	data, ok := b.scene.cache.store.Get(store.Key(key))
	if !ok {
		return false
	}
	var s stamp
	if json.Unmarshal(data, &s) != nil || s.Report == nil {
		return false
	}
	for _, f := range s.Files {
		if !f.isThere(b.files.dir) {
			return false
		}
	}
	b.report, b.files.same = s.Report, len(s.Files)
	for i := range b.report.Bases {
		b.report.Bases[i].Seconds, b.report.Bases[i].Kept = 0, true
	}
	return true
}

// isThere says whether the file is as it was left, byte for byte. Its time is no sign of
// that: what spoils a file may leave it as it is.
func (f *stampedFile) isThere(dir string) bool {
	path := filepath.Join(dir, filepath.FromSlash(f.Path))
	info, err := os.Stat(path)
	if err != nil || info.Size() != f.Bytes {
		return false
	}
	sum, err := hashOf(path)
	return err == nil && hex.EncodeToString(sum) == f.SHA256
}

// hashOf is the SHA-256 of a file.
func hashOf(path string) ([]byte, error) {
	f, _, err := plainfile.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	sum := sha256.New()
	_, err = io.Copy(sum, f)
	return sum.Sum(nil), err
}

// stampFiles keeps what the build left. One that left a base out is built again.
func (b *build) stampFiles() {
	if b.scene.cache == nil || len(b.formats) == 0 || len(b.report.Failed) > 0 {
		return
	}
	key, err := b.stampKey()
	if err != nil {
		return
	}
	s := stamp{Report: b.report}
	for _, f := range b.report.written() {
		s.Files = append(s.Files, stampedFile{Path: within(b.files.dir, f.File), Bytes: f.Bytes, SHA256: f.SHA256})
	}
	var text bytes.Buffer
	if json.NewEncoder(&text).Encode(&s) == nil {
		_ = b.scene.cache.store.Put(store.Key(key), text.Bytes())
	}
}
