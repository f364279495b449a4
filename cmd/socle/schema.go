package main

import (
	"github.com/spf13/cobra"

	"socle/scenes"
)

func schemaCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of scene files",
		Long: `Schema prints the JSON Schema (draft 2020-12) of scene files. An editor that knows
TOML completes and checks scenes by it.`,
		Example: `  socle schema > scene.schema.json`,
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := cmd.OutOrStdout().Write(scenes.Schema())
			return err
		},
	}
}
