package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/examples"
	"socle/cmd/set/output"
	"socle/out/catalogue"
	"socle/scenes"
)

func partsCmd() *cobra.Command {
	var f partsFlags
	cmd := &cobra.Command{
		Use:   "parts [KIND]",
		Short: "List the parts and tables that a scene is made of, or the keys of one",
		Long: `Parts lists the tables of the scene itself and every kind of part in the order of
work, or, for one of them, each of its keys with unit, default, range and source.`,
		Example: `  socle parts
  socle parts stair
  socle parts printer
  socle parts crater --json`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return errors.New("parts takes one kind at most: socle parts stair")
			}
			return nil
		},
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) (words []string, _ cobra.ShellCompDirective) {
			if len(args) == 0 {
				words = scenes.CatalogueWords()
			}
			return words, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			word := ""
			if len(args) == 1 {
				word = args[0]
			}
			switch {
			case cmd.Flags().Changed("page"):
				return f.writePage(cmd, word)
			case !f.json:
				return scenes.Catalogue(cmd.OutOrStdout(), word)
			}
			text, err := scenes.CatalogueJSON(word)
			if err != nil {
				return err
			}
			_, err = cmd.OutOrStdout().Write(text)
			return err
		},
	}
	flags := cmd.Flags()
	flags.BoolVar(&f.json, "json", false, "print as JSON")
	flags.StringVar(&f.page, "page", "", "write the page to `FILE`, or to "+usualPage+" in a folder")
	flags.BoolVar(&f.quiet, "quiet", false, "with --page: print errors only")
	return cmd
}

// partsFlags is what the command line asks of the catalogue.
type partsFlags struct {
	page        string
	json, quiet bool
}

// usualPage is what the page of the catalogue is called in a folder.
const usualPage = "catalogue.html"

// writePage draws the examples and writes the page.
func (f *partsFlags) writePage(cmd *cobra.Command, word string) error {
	switch {
	case f.json:
		return errors.New("--page writes a page and --json prints JSON: give only one of the two")
	case f.page == "":
		return fmt.Errorf("--page is empty: allowed: the name of a file, such as %s, or a folder", usualPage)
	}
	path := f.page
	if info, err := os.Stat(path); err == nil && info.IsDir() || os.IsPathSeparator(path[len(path)-1]) {
		path = filepath.Join(path, usualPage)
	}
	messages := cmd.ErrOrStderr()
	files := &output.Folder{Path: filepath.Dir(path), Tell: teller(messages)}
	if err := files.Possible(); err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	defer files.Discard()
	c, err := examples.Page(cmd.Context(), word, cache.VersionLine(cache.BuildInfo()), &progress{w: messages, quiet: f.quiet})
	if err != nil {
		return err
	}
	file, err := files.Add(filepath.Base(path), func(w io.Writer) error { return catalogue.Write(w, c) })
	if err == nil {
		_, err = files.Commit()
	}
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	if !f.quiet {
		fmt.Fprintf(cmd.OutOrStdout(), "wrote %s: open it in a browser\n", file.Path)
	}
	return nil
}

func schemaCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of scene files",
		Long: `Schema prints the JSON Schema (draft 2020-12) of scene files. An editor that knows TOML
uses it to complete and check scenes.`,
		Example: `  socle schema > scene.schema.json`,
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := cmd.OutOrStdout().Write(scenes.Schema())
			return err
		},
	}
}

func versionCmd() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print the version of socle",
		Example: "  socle version",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			fmt.Fprintln(cmd.OutOrStdout(), cache.VersionLine(cache.BuildInfo()))
			return nil
		},
	}
}

// shellCompletion adds cobra's completion verb, with examples to paste.
func shellCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd("completion")
	verb, _, err := root.Find([]string{"completion"})
	if err != nil {
		panic(err) // cobra has just added it
	}
	verb.Short = "Print a script that completes socle's commands in a shell"
	verb.Example = `  source <(socle completion bash)
  socle completion zsh > "${fpath[1]}/_socle"
  socle completion fish > ~/.config/fish/completions/socle.fish
  socle completion powershell | Out-String | Invoke-Expression`
}
