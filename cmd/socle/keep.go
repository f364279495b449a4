package main

import (
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/vary"
	"socle/scenes"
)

// keepable says, before anything is read, whether there is a file to keep into.
func (f *varyFlags) keepable(arg string) error {
	if err := scenes.CheckVariantName(f.keep); err != nil {
		return fmt.Errorf("--keep: %w", err)
	}
	switch {
	case arg == "-":
		return errors.New("--keep cannot save a variant to standard input: allowed: a scene file")
	case set.IsPipe(arg):
		return fmt.Errorf("--keep: %s is not a plain file, so no variant can be saved in it: allowed: a scene file", arg)
	case !set.IsFile(arg) && slices.Contains(scenes.Shipped(), arg):
		return fmt.Errorf("--keep: %s is a shipped scene and cannot be changed: copy it with socle new NAME --from %s", arg, arg)
	case !set.IsFile(arg):
		return set.NotFound(arg)
	}
	return nil
}

// keepIn reads the scene and writes one trial into its file as a variant.
func (f *varyFlags) keepIn(cmd *cobra.Command, path string, sweeps []string) error {
	if err := f.keepable(path); err != nil {
		return set.AsFaulty(err)
	}
	held, err := vary.Hold(cmd.Context(), path)
	if err != nil {
		return set.AsFaulty(err)
	}
	defer held.Release()
	s, err := open(cmd, path, f.Selection)
	if err != nil {
		return err
	}
	trials, err := f.trials(cmd, s, sweeps)
	if err != nil {
		return set.AsFaulty(err)
	}
	chosen, err := f.picked(cmd, trials)
	if err != nil {
		return set.AsFaulty(err)
	}
	changed, err := s.With(chosen.Sets, chosen.Moves...)
	if err != nil {
		return err
	}
	if _, err := changed.Cut(nil); err != nil {
		return err
	}
	if err := held.Keep(f.keep, f.Variant, slices.Concat(f.Sets, chosen.Texts())); err != nil {
		return err
	}
	if !f.quiet {
		fmt.Fprintf(cmd.OutOrStdout(), "kept %d, %s, in %s as the variant %s\n", chosen.Number, chosen.Label, path, f.keep)
	}
	return nil
}

// picked is the trial to keep.
func (f *varyFlags) picked(cmd *cobra.Command, trials []vary.Trial) (vary.Trial, error) {
	given := cmd.Flags().Changed("pick")
	switch {
	case len(trials) == 1 && !given:
		return trials[0], nil
	case f.pick >= 1 && f.pick <= len(trials):
		return trials[f.pick-1], nil
	}
	what := "--keep needs one of them"
	if given {
		what = fmt.Sprintf("--pick %d", f.pick)
	}
	return vary.Trial{}, fmt.Errorf("%s: allowed: --pick 1 to %d, as the sheet numbers them", what, len(trials))
}
