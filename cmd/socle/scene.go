package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"socle/parts"
	"socle/parts/assembly"
	"socle/scenes"
)

// scene is a scene that has been read without a fault.
type scene struct {
	name string // what its files are called after
	read *scenes.Scene
	site *parts.Site

	whole *assembly.Scene // put together, once its bases are cut
	cache *cache          // what was made before; nil for none
}

// variant is a variant of the scene.
func (s *scene) variant(name string) (*scene, error) {
	read, err := s.read.Variant(name)
	if err != nil {
		return nil, faulty(err)
	}
	return &scene{name: s.name + "-" + name, read: read, site: read.Site, cache: s.cache}, nil
}

// sceneExt ends the name of a scene file.
const sceneExt = ".toml"

// readScene reads a scene from a file, from standard input for "-", or from
// those that are shipped, with the values of sets in it, and takes the variant
// if one is named. A file goes before a shipped scene of the same name. A printer,
// if not "", is the path of a file whose [printer] stands in for the scene's.
func readScene(ctx context.Context, in io.Reader, arg string, sets []string, variant, printer string) (*scene, error) {
	name, err := sceneName(arg)
	if err != nil {
		return nil, faulty(err)
	}
	read, err := await(ctx, func() (*scenes.Scene, error) { return openScene(in, arg, sets, printer) })
	if err != nil {
		return nil, faulty(err)
	}
	s := &scene{name: name, read: read, site: read.Site}
	if variant != "" {
		return s.variant(variant)
	}
	return s, nil
}

// sceneName is what the files of a scene are called after.
func sceneName(arg string) (string, error) {
	if arg == "-" {
		return "scene", nil
	}
	name := strings.TrimSuffix(filepath.Base(arg), sceneExt)
	if !isFile(arg) {
		return name, nil // there is more to say than that its name is none
	}
	return name, scenes.CheckSceneName(name)
}

// openScene is the reading of readScene, which waits for what a pipe or a terminal has
// to say.
func openScene(in io.Reader, arg string, sets []string, printer string) (*scenes.Scene, error) {
	on, err := openPrinter(printer)
	if err != nil {
		return nil, err
	}
	switch {
	case arg == "-":
		text, err := io.ReadAll(io.LimitReader(in, scenes.MaxSize+1))
		if err != nil {
			return nil, err
		}
		return scenes.Read("stdin", text, sets, scenes.On(on))
	case !isFile(arg) && slices.Contains(scenes.Shipped(), arg):
		text, err := scenes.Open(arg)
		if err != nil {
			return nil, err
		}
		return scenes.Read(arg+sceneExt, text, sets, scenes.On(on))
	}
	read, err := scenes.ReadFile(arg, sets, scenes.On(on))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, noScene(arg)
	}
	return read, err
}

// openPrinter opens the file of --printer; "" is none: the scene's own.
func openPrinter(path string) (*scenes.PrinterFile, error) {
	if path == "" {
		return nil, nil
	}
	on, err := scenes.OpenPrinter(path)
	if err != nil {
		return nil, fmt.Errorf("--printer: %w", err)
	}
	return on, nil
}

// noScene says that there is no such scene, and what the nearest one is.
func noScene(arg string) error {
	if isFile(arg + sceneExt) {
		return fmt.Errorf("there is no file %s; did you mean %q?", arg, arg+sceneExt)
	}
	if strings.ContainsAny(arg, `/\`) {
		return fmt.Errorf("there is no file %s", arg)
	}
	_, err := scenes.Open(arg)
	return fmt.Errorf("there is no file %s, and %w", arg, err)
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

// isPipe says that what stands there can be read once only.
func isPipe(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.Mode().IsRegular() && !info.IsDir()
}

// faulty makes the error of a faulty scene: all faults as they point into the
// text, then how many there are.
func faulty(err error) error {
	var faults *scenes.Faults
	if errors.As(err, &faults) {
		return &exitError{exitFaulty, fmt.Errorf("the scene is at fault\n\n%w\n\n%s", faults, faults.Summary())}
	}
	return &exitError{exitFaulty, err}
}

// unfitting makes the error of bases that are found not to fit once the scene,
// sound in itself, is put together.
func (s *scene) unfitting(found []parts.Fault) error {
	faults := &scenes.Faults{}
	for _, f := range found {
		faults.List = append(faults.List, s.read.Locate(f))
	}
	return &exitError{exitNotProven, fmt.Errorf("it does not fit\n\n%w\n\n%s", faults, faults.Summary())}
}

// cut puts the scene together and gives the pieces to build: all of them, or
// those that are named, by the name of a piece or of a base that makes several.
func (s *scene) cut(only []string) ([]assembly.Piece, error) {
	whole, err := assembly.Assemble(s.site)
	var faults *parts.FaultError
	if errors.As(err, &faults) {
		return nil, s.unfitting(faults.Faults)
	}
	if err != nil {
		return nil, faulty(err)
	}
	s.whole = whole
	pieces := whole.Pieces()
	if len(pieces) == 0 {
		f := s.read.Locate(parts.Fault{Text: "the scene has no base to build", Allowed: "one [[base]] or more"})
		return nil, faulty(&scenes.Faults{List: []scenes.Fault{f}})
	}
	if len(only) == 0 {
		return pieces, nil
	}
	var chosen []assembly.Piece
	found := map[string]bool{}
	for _, p := range pieces {
		if slices.Contains(only, p.Name) || slices.Contains(only, p.Base.Name) {
			chosen = append(chosen, p)
			found[p.Name], found[p.Base.Name] = true, true
		}
	}
	for _, name := range only {
		if !found[name] {
			return nil, faulty(fmt.Errorf("the scene has no base %q; it has: %s", name, pieceNames(pieces)))
		}
	}
	return chosen, nil
}

func namesOf(pieces []assembly.Piece) []string {
	names := make([]string, len(pieces))
	for i, p := range pieces {
		names[i] = p.Name
	}
	return names
}

func pieceNames(pieces []assembly.Piece) string { return strings.Join(namesOf(pieces), ", ") }

// completeScene completes the name of a scene: the shipped ones and scene files.
func completeScene(_ *cobra.Command, args []string, start string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	files, _ := filepath.Glob(start + "*" + sceneExt) // a bad pattern completes nothing
	return slices.Concat(scenes.Shipped(), files), cobra.ShellCompDirectiveDefault
}
