package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"socle/out"
	"socle/scenes"
)

// keepable says, before anything is read, whether there is a file to keep into.
func (f *varyFlags) keepable(arg string) error {
	switch {
	case f.keep == "":
		return nil
	case arg == "-":
		return errors.New("--keep: standard input is no file to keep a variant in: allowed: a scene file")
	case isPipe(arg):
		return fmt.Errorf("--keep: %s is no plain file to keep a variant in: allowed: a scene file", arg)
	case !isFile(arg) && slices.Contains(scenes.Shipped(), arg):
		return fmt.Errorf("--keep: %s is shipped and stays as it is: make a file of your own with socle new NAME --from %s", arg, arg)
	}
	return nil
}

// keepOne writes one trial into the scene's file as a variant.
func (f *varyFlags) keepOne(cmd *cobra.Command, path string, s *scene, trials []trial) error {
	pick := f.pick
	if pick == 0 && len(trials) == 1 && !cmd.Flags().Changed("pick") {
		pick = 1
	}
	if pick < 1 || pick > len(trials) {
		what := "--keep wants one of them"
		if cmd.Flags().Changed("pick") {
			what = fmt.Sprintf("--pick %d", pick)
		}
		return faulty(fmt.Errorf("%s: allowed: --pick 1 to %d, as the sheet numbers them", what, len(trials)))
	}
	chosen := trials[pick-1]
	read, err := s.read.With(chosen.sets)
	if err != nil {
		return faulty(err)
	}
	if _, err := (&scene{name: s.name, read: read, site: read.Site}).cut(nil); err != nil {
		return err
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return faulty(err)
	}
	kept, err := scenes.Keep(text, f.keep, f.variant, slices.Concat(f.sets, chosen.sets))
	if err != nil {
		return faulty(err)
	}
	if err := replaceFile(path, kept); err != nil {
		return &exitError{exitNotWritten, err}
	}
	if !f.quiet {
		fmt.Fprintf(cmd.OutOrStdout(), "kept %d, %s, in %s as the variant %s\n", chosen.number, chosen.label, path, f.keep)
	}
	return nil
}

// replaceFile puts a text in the place of a file, whole or not at all. A link is
// followed, and stays.
func replaceFile(path string, text []byte) error {
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	file, err := out.CreateAtomic(path)
	if err != nil {
		return err
	}
	if _, err = file.Write(text); err == nil {
		err = file.Seal()
	}
	if err != nil {
		file.Discard()
		return err
	}
	return file.Commit()
}
