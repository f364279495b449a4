package main

import (
	"errors"

	"github.com/spf13/cobra"

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
				return errors.New("parts wants one kind at most: socle parts stair")
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
