package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"socle/scenes"
	"socle/scenes/revision"
)

// compared is one side of a comparison: a scene as a file has it, as a variant of it
// is, or as it was in a revision.
type compared struct {
	asked    string // as the command line has it
	variant  string // "" for none
	revision string // "" for the file as it is
	commit   string // what the revision is, in full

	opened *scene
	*Set   // once its bases are cut
}

// cut cuts the bases of a side.
func (in *compared) cut() (err error) {
	in.Set, err = in.opened.cut(nil)
	return err
}

// openCompared reads SCENE, SCENE@VARIANT, SCENE@REVISION or SCENE@REVISION@VARIANT. A
// file whose own name has an @ goes before all of these, and the name of a variant
// before a revision.
func openCompared(ctx context.Context, stdin io.Reader, arg string, c *Selection) (*compared, error) {
	in := &compared{asked: arg}
	path, rest := splitAsked(arg)
	if rest == "" {
		in.variant = c.Variant
		s, err := openScene(ctx, stdin, path, *c)
		in.opened = s
		return in, err
	}
	current, fault := openScene(ctx, stdin, path, c.AsItIs())
	if fault == nil && slices.ContainsFunc(current.read.Variants, func(v scenes.Variant) bool { return v.Name == rest }) {
		in.variant = rest
		return in, in.take(current, rest)
	}
	text, err := in.atRevision(path, rest)
	var none *noRevision
	switch {
	case errors.As(err, &none) && fault != nil && isFile(path):
		return nil, fault // what its variants are is not known
	case errors.As(err, &none) && fault == nil:
		_, unknown := current.read.Variant(rest)
		return nil, faulty(fmt.Errorf("%w; and as a revision: %w", unknown, err))
	case err != nil:
		return nil, faulty(fmt.Errorf("%s: %w", arg, err))
	}
	on, err := await(ctx, func() (*scenes.PrinterFile, error) { return openPrinter(c.Printer) })
	if err != nil {
		return nil, faulty(err)
	}
	name := path + "@" + in.revision
	read, err := scenes.Read(name, text, c.Sets, scenes.On(on))
	if err != nil {
		return nil, faulty(err)
	}
	plain, err := sceneName(path)
	if err != nil {
		return nil, faulty(err)
	}
	if read.Site.Title == strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) {
		read.Site.Title = plain // a scene without a title is called after its file
	}
	if in.variant == "" {
		in.variant = c.Variant
	}
	return in, in.take(newScene(plain, read), in.variant)
}

// take takes a variant of a scene, or "" for the scene itself.
func (in *compared) take(s *scene, variant string) error {
	in.opened = s
	if variant == "" {
		return nil
	}
	of, err := s.variant(variant)
	if err == nil {
		in.opened = of
	}
	return err
}

// splitAsked parts the scene from what follows it: at the first @ behind which there
// is a scene of that name, or at the first of all.
func splitAsked(arg string) (path, rest string) {
	if isFile(arg) {
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
		if p := arg[:i]; isFile(p) || slices.Contains(scenes.Shipped(), p) {
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
func (in *compared) atRevision(path, rest string) ([]byte, error) {
	if !isFile(path) && slices.Contains(scenes.Shipped(), path) {
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
		in.revision, in.variant, in.commit = w[0], w[1], commit.Hash
		text, err := commit.Read(dir, file, scenes.MaxSize)
		if err != nil {
			return nil, fmt.Errorf("revision %s: %w", w[0], err)
		}
		return text, nil
	}
	return nil, &noRevision{fmt.Sprintf("git knows no revision %q of it", rest)}
}

// told is a side in words: the title, and what the revision is.
func (in *compared) told() string {
	text := in.asked + ": " + in.site.Title
	if in.variant != "" {
		text += ", variant " + in.variant
	}
	if in.commit != "" {
		text += fmt.Sprintf(", commit %.12s", in.commit)
	}
	return text
}
