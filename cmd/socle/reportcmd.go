package main

import (
	"github.com/spf13/cobra"

	"socle/cmd/set"
)

func reportCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "report SCENE",
		Short: "Write the report of a scene's bases: one page to open in a browser, and JSON",
		Long: `Report builds, proves and inspects the bases of a scene as build does and writes
SCENE.html and SCENE.json, without the solids.

The page holds all it needs and works without a network: the plan, the pictures,
every base to be turned by mouse, touch or keys, what the inspection found with a
picture of each place, what the set takes to print, the variants, the scene's
text, and how it was all made. The document holds the same for scripts.

It ends with 1 where the inspection has a stop.`,
		Example: `  socle report harbour.toml
  socle report saltmere-quay --setting draft --to quay`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			f.Formats = set.Formats{set.FormatHTML, set.FormatJSON}
			if err := f.valid(true); err != nil {
				return err
			}
			return f.failed(cmd, f.build(cmd, args[0]))
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, set.SettingFine)
	f.toFlag(cmd.Flags())
	f.adviseFlag(cmd.Flags())
	return cmd
}
