package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"socle/cmd/set/cache"
)

func versionCmd() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print which socle this is",
		Example: "  socle version",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			fmt.Fprintln(cmd.OutOrStdout(), cache.VersionLine(cache.BuildInfo()))
			return nil
		},
	}
}
