package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"
)

// allVariants stands for the scene as it is and every variant of it. No variant may be
// called so.
const allVariants = "all"

// openPlain reads the scene as it is, whichever variant is asked for.
func (c chosen) openPlain(cmd *cobra.Command, arg string) (*scene, error) {
	c.variant = ""
	return c.open(cmd, arg)
}

// everyVariant names what allVariants stands for; "" is the scene as it is.
func (s *scene) everyVariant() []string {
	names := []string{""}
	for _, v := range s.read.Variants {
		names = append(names, v.Name)
	}
	return names
}

// each does what is asked for with the variant that is asked for or, where that is all
// of them, with one after the other, each with a folder of its own. What cannot be
// proven or will not print in one does not keep the others from being done.
func (f *buildFlags) each(cmd *cobra.Command, arg string, do func(*buildFlags) error) error {
	if f.variant != allVariants {
		return do(f)
	}
	switch {
	case arg == "-":
		return errors.New("--variant all reads the scene several times: give it a file in place of -")
	case f.json:
		return errors.New("--json is one document: take one --variant")
	}
	s, err := f.openPlain(cmd, arg)
	if err != nil {
		return err
	}
	var failed error
	for i, name := range s.everyVariant() {
		one, called := *f, s.name
		one.variant = name
		if name != "" {
			called += "-" + name
		}
		if f.to != "" {
			one.to = filepath.Join(f.to, called)
		}
		if !f.quiet {
			fmt.Fprintf(cmd.ErrOrStderr(), "%s== %s\n", map[bool]string{true: "\n"}[i > 0], called)
		}
		if err := do(&one); err != nil {
			var e *exitError
			if !errors.As(err, &e) || e.code != exitNotProven {
				return err
			}
			if e.err != nil {
				fmt.Fprintf(cmd.ErrOrStderr(), "socle: %v\n", e.err)
			}
			failed = &exitError{code: exitNotProven}
		}
	}
	return failed
}
