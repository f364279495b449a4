package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/words"
	"socle/scenes"
	"socle/scenes/theme"
)

// newFlags are the flags of new.
type newFlags struct {
	from  string
	theme string
	bases string
	seed  uint64
	scale float64
	title string
}

func newCmd() *cobra.Command {
	var f newFlags
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Write a new scene file, to start from",
		Long: `New writes NAME.toml: a short scene with comments; with --from, a copy of a shipped
scene; with --theme, a whole place laid out for a list of bases, each with something
of its own to show. It never overwrites a file.

Shipped: ` + strings.Join(scenes.Shipped(), ", ") + `

Themes:
` + themeLines() + `
The list of bases has commas between its entries:
` + theme.ListHelp() + `.
The words are the footprints of a base (socle parts base), sizes are mm.`,
		Example: `  socle new harbour
  socle new harbour --from saltmere-quay
  socle new quay-set --theme quay --bases round32x10,round60x2,oval120x92 --seed 4`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("new needs one name: socle new harbour")
			}
			return nil
		},
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			path := strings.TrimSuffix(args[0], set.Ext) + set.Ext
			if err := scenes.CheckName(strings.TrimSuffix(filepath.Base(path), set.Ext)); err != nil {
				return err
			}
			text, says, err := f.scene(cmd)
			if err != nil {
				return err
			}
			if err := writeNew(path, text); err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "wrote %s\n", path)
			if says != "" {
				fmt.Fprintln(cmd.ErrOrStderr(), says)
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "build it with: socle build %s\n", words.ShellQuoted(words.Operand(path)))
			return nil
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.from, "from", "", "copy this `SHIPPED` scene")
	flags.StringVar(&f.theme, "theme", "", "lay out a place of this kind, `NAME`: "+strings.Join(theme.Names(), ", "))
	flags.StringVar(&f.bases, "bases", "", "with --theme: the `LIST` of bases that it is laid out for (default a list of the theme's)")
	flags.Uint64Var(&f.seed, "seed", 1, "with --theme: a number `N` that picks what goes where")
	flags.Float64Var(&f.scale, "scale", 0, "with --theme: the `RATIO` of the scale, 285 for 1:285 (default the theme's)")
	flags.StringVar(&f.title, "title", "", "with --theme: the `TEXT` of the scene's title (default the theme's)")
	complete := func(flag string, words []string) {
		err := cmd.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
		if err != nil {
			panic(err) // the flag is defined above
		}
	}
	complete("from", scenes.Shipped())
	complete("theme", theme.Names())
	for _, flag := range []string{"bases", "seed", "scale", "title"} {
		complete(flag, nil)
	}
	return cmd
}

// scene is the text of the new scene, and what there is to say about it.
func (f *newFlags) scene(cmd *cobra.Command) (text []byte, says string, err error) {
	given := cmd.Flags().Changed
	if given("theme") && given("from") {
		return nil, "", errors.New("--theme lays out a new place and --from copies a scene: give only one of the two")
	}
	if !given("theme") {
		for _, flag := range []string{"bases", "seed", "scale", "title"} {
			if given(flag) {
				return nil, "", fmt.Errorf("--%s needs --theme; themes: %s", flag, strings.Join(theme.Names(), ", "))
			}
		}
		if given("from") {
			text, err = scenes.Open(f.from)
			return text, "", err
		}
		return scenes.Starter(), "", nil
	}
	ask := theme.Ask{Theme: f.theme, Bases: f.bases, Seed: f.seed, Scale: f.scale, Title: f.title}
	for _, flag := range []struct {
		name  string
		empty bool
	}{{"bases", f.bases == ""}, {"scale", f.scale == 0}, {"title", strings.TrimSpace(f.title) == ""}} {
		if given(flag.name) && flag.empty {
			return nil, "", fmt.Errorf("--%s is empty: leave it out, or give a value", flag.name)
		}
	}
	made, err := theme.Scene(ask)
	if err != nil {
		return nil, "", err
	}
	return []byte(made.Text), fmt.Sprintf("%s on a ground of %g x %g mm", words.Count(made.Bases, "base", "bases"), made.Ground[0], made.Ground[1]), nil
}

// themeLines lists the themes for the help.
func themeLines() string {
	var w strings.Builder
	for _, name := range theme.Names() {
		fmt.Fprintf(&w, "  %-8s  %s\n", name, theme.Doc(name))
	}
	return w.String()
}

// writeNew writes a file that must not be there yet, whole or not at all.
func writeNew(path string, text []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s already exists: left unchanged", path)
	}
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	_, err = f.Write(text)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(path)
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	return nil
}
