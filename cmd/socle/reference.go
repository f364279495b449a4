package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"socle/cmd/set/cache"
	"socle/scenes"
)

func partsCmd() *cobra.Command {
	var asJSON bool
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
			if !asJSON {
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
	cmd.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return cmd
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
