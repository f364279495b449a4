package compare

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"socle/cmd/set"
	"socle/scenes"
	"socle/scenes/revision"
)

// Side is one side of a comparison: a scene as a file has it, as a variant of it
// is, or as it was in a revision.
type Side struct {
	asked    string // as the command line has it
	variant  string // "" for none
	revision string // "" for the file as it is
	commit   string // what the revision is, in full

	Opened   *set.Scene
	*set.Set // once its bases are cut
}

// Cut cuts the bases of a side.
func (side *Side) Cut() (err error) {
	side.Set, err = side.Opened.Cut(nil)
	return err
}

// Open reads SCENE, SCENE@VARIANT, SCENE@REVISION or SCENE@REVISION@VARIANT. A
// file whose own name has an @ goes before all of these, and the name of a variant
// before a revision.
func Open(ctx context.Context, stdin io.Reader, arg string, c *set.Selection) (*Side, error) {
	in := &Side{asked: arg}
	path, rest := splitAsked(arg)
	if rest == "" {
		in.variant = c.Variant
		s, err := set.Open(ctx, stdin, path, *c)
		in.Opened = s
		return in, err
	}
	current, fault := set.Open(ctx, stdin, path, c.AsItIs())
	if fault == nil && slices.ContainsFunc(current.Read.Variants, func(v scenes.Variant) bool { return v.Name == rest }) {
		in.variant = rest
		return in, in.takeVariant(current, rest)
	}
	text, err := in.atRevision(path, rest)
	var none *noRevision
	switch {
	case errors.As(err, &none) && fault != nil && set.IsFile(path):
		return nil, fault // what its variants are is not known
	case errors.As(err, &none) && fault == nil:
		_, unknown := current.Read.Variant(rest)
		return nil, set.AsFaulty(fmt.Errorf("%w; and as a revision: %w", unknown, err))
	case err != nil:
		return nil, set.AsFaulty(fmt.Errorf("%s: %w", arg, err))
	}
	on, err := set.Await(ctx, func() (*scenes.PrinterFile, error) { return set.OpenPrinter(c.Printer) })
	if err != nil {
		return nil, set.AsFaulty(err)
	}
	name := path + "@" + in.revision
	read, err := scenes.Read(name, text, c.Sets, scenes.On(on))
	if err != nil {
		return nil, set.AsFaulty(err)
	}
	plain, err := set.NameOf(path)
	if err != nil {
		return nil, set.AsFaulty(err)
	}
	if read.Site.Title == strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) {
		read.Site.Title = plain // a scene without a title is called after its file
	}
	if in.variant == "" {
		in.variant = c.Variant
	}
	return in, in.takeVariant(set.New(plain, read), in.variant)
}

// takeVariant takes a variant of a scene, or "" for the scene itself.
func (side *Side) takeVariant(s *set.Scene, variant string) error {
	side.Opened = s
	if variant == "" {
		return nil
	}
	of, err := s.Variant(variant)
	if err == nil {
		side.Opened = of
	}
	return err
}

// splitAsked parts the scene from what follows it: at the first @ behind which there
// is a scene of that name, or at the first of all.
func splitAsked(arg string) (path, rest string) {
	if set.IsFile(arg) {
		return arg, ""
	}
	first := -1
	for i := range len(arg) {
		if arg[i] != '@' || i == 0 {
			continue
		}
		if first < 0 {
			first = i
		}
		if p := arg[:i]; set.IsFile(p) || slices.Contains(scenes.Shipped(), p) {
			return p, arg[i+1:]
		}
	}
	if first < 0 {
		return arg, ""
	}
	return arg[:first], arg[first+1:]
}

// noRevision says why something is no revision of a file.
type noRevision struct{ why string }

func (e *noRevision) Error() string { return e.why }

// atRevision gives the text of a scene file as it was in a revision of the git
// repository that it lies in; rest is REVISION or REVISION@VARIANT.
func (side *Side) atRevision(path, rest string) ([]byte, error) {
	if !set.IsFile(path) && slices.Contains(scenes.Shipped(), path) {
		return nil, &noRevision{"a shipped scene has no revisions"}
	}
	if path == "-" {
		return nil, &noRevision{"standard input has no revisions"}
	}
	dir, file := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return nil, &noRevision{"there is no folder " + dir}
	}
	repository, err := revision.Open(dir)
	if err != nil {
		return nil, &noRevision{fmt.Sprintf("git has no revisions of %s: %v", path, err)}
	}
	ways := [][2]string{{rest, ""}}
	if at := strings.LastIndexByte(rest, '@'); at > 0 && at < len(rest)-1 {
		ways = append(ways, [2]string{rest[:at], rest[at+1:]})
	}
	for _, w := range ways {
		commit, err := repository.Commit(w[0])
		switch {
		case errors.Is(err, revision.ErrUnknown):
			continue
		case err != nil:
			return nil, err
		}
		side.revision, side.variant, side.commit = w[0], w[1], commit.Hash
		text, err := commit.Read(dir, file, scenes.MaxSize)
		if err != nil {
			return nil, fmt.Errorf("revision %s: %w", w[0], err)
		}
		return text, nil
	}
	return nil, &noRevision{fmt.Sprintf("git knows no revision %q of it", rest)}
}

// InWords is a side in words: the title, and what the revision is.
func (side *Side) InWords() string {
	text := side.asked + ": " + side.Site.Title
	if side.variant != "" {
		text += ", variant " + side.variant
	}
	if side.commit != "" {
		text += fmt.Sprintf(", commit %.12s", side.commit)
	}
	return text
}
