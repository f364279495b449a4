package build

import (
	"context"
	"errors"
	"io"
	"slices"
	"sync"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/report"
	"socle/parts/assembly"
)

// firstSight puts the first picture of a build in place, whole, as soon as it is drawn: whoever
// changes a number waits for that. It is drawn from a look at the base; the build writes it
// again among its other files, from the solid. A nil one does nothing.
type firstSight struct {
	to   string
	bar  set.Bar
	tell func(string)

	seen func() // lets the other pieces begin
	once sync.Once
	file *output.File // that is in place, and was not before
}

// before gives a maker by which all pieces wait until the first one is seen, or cannot be.
func (s *firstSight) before(maker piece.Maker, pieces []assembly.Piece, bar set.Bar, tell func(string)) piece.Maker {
	if s == nil {
		return maker
	}
	seen := make(chan struct{})
	s.bar, s.tell, s.seen = bar, tell, sync.OnceFunc(func() { close(seen) })
	return func(ctx context.Context, p *assembly.Piece, progress func(float64)) piece.Result {
		if p == &pieces[0] {
			defer s.seen()
			return maker(ctx, p, progress)
		}
		select {
		case <-seen:
			return maker(ctx, p, progress)
		case <-ctx.Done():
			return piece.Result{Err: ctx.Err()}
		}
	}
}

// put puts a picture in place, if it is the first; nil where there is none of this piece. What
// cannot be written now is told of when all files are.
func (s *firstSight) put(p *assembly.Piece, first *look.Shot) {
	defer s.seen()
	if first == nil {
		return
	}
	s.once.Do(func() {
		files := &output.Folder{Path: s.to, Tell: s.tell}
		defer files.Discard()
		file, err := files.Add(pictureFile(p, first), func(w io.Writer) error {
			_, err := w.Write(first.Png)
			return err
		})
		if err != nil {
			return
		}
		same, err := files.Commit()
		if err != nil {
			return
		}
		if same == 0 {
			s.file = &file
		}
		s.bar.Tell("first picture: " + file.Path)
	})
}

// counted is how many of the files that a build found there already, byte for byte, it had
// itself put there.
func (s *firstSight) counted(r *report.Report) int {
	if s == nil || s.file == nil {
		return 0
	}
	if slices.ContainsFunc(r.Written(), func(f *output.File) bool { return *f == *s.file }) {
		return 1
	}
	return 0
}

// Stopped is the error of a build that ended early, with its first picture in place.
type Stopped struct {
	Picture string // path
	Err     error
}

func (e *Stopped) Error() string { return e.Err.Error() }
func (e *Stopped) Unwrap() error { return e.Err }

// left tells with the error of a build that ended early what is left of it.
func (s *firstSight) left(ctx context.Context, err error) error {
	if s == nil || s.file == nil || err == nil || ctx.Err() == nil || !errors.Is(err, ctx.Err()) {
		return err
	}
	return &Stopped{s.file.Path, err}
}
