package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func versionCmd() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print which socle this is",
		Example: "  socle version",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			fmt.Fprintln(cmd.OutOrStdout(), versionLine(buildInfo()))
			return nil
		},
	}
}

// buildInfo is what the build recorded of itself; nothing where it did not.
func buildInfo() *debug.BuildInfo {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = &debug.BuildInfo{}
	}
	return info
}

// versionLine says what the build recorded of itself: the module's version, the
// commit where there is one, and the Go version.
func versionLine(info *debug.BuildInfo) string {
	version := info.Main.Version
	if version == "" || version == "(devel)" {
		version = "(not a release)"
	}
	line := "socle " + version
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	if commit := settings["vcs.revision"]; commit != "" {
		line += ", commit " + commit[:min(12, len(commit))]
		if settings["vcs.modified"] == "true" {
			line += " with changes"
		}
	}
	if info.GoVersion != "" {
		line += ", " + info.GoVersion
	}
	if os, arch := settings["GOOS"], settings["GOARCH"]; os != "" {
		line += " " + os + "/" + arch
	}
	return line
}
