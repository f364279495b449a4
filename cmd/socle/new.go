package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"socle/scenes"
)

func newCmd() *cobra.Command {
	var from string
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Write a new scene file, to start from",
		Long: `New writes NAME.toml: a short scene with comments, or with --from a copy of one
that is shipped. It never writes over a file that is there.

Shipped: ` + strings.Join(scenes.Shipped(), ", "),
		Example: `  socle new harbour
  socle new harbour --from saltmere-quay`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("new wants one name: socle new harbour")
			}
			return nil
		},
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			text := scenes.Starter()
			if from != "" {
				var err error
				if text, err = scenes.Open(from); err != nil {
					return err
				}
			}
			path := strings.TrimSuffix(args[0], sceneExt) + sceneExt
			if stem := strings.TrimSuffix(filepath.Base(path), sceneExt); strings.Trim(stem, ".") == "" {
				return fmt.Errorf("%q is no name for a scene", args[0])
			}
			if err := writeNew(path, text); err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "wrote %s\n", path)
			fmt.Fprintf(cmd.ErrOrStderr(), "build it with: socle build %s\n", path)
			return nil
		},
	}
	cmd.Flags().StringVar(&from, "from", "", "copy this shipped scene")
	err := cmd.RegisterFlagCompletionFunc("from", cobra.FixedCompletions(scenes.Shipped(), cobra.ShellCompDirectiveNoFileComp))
	if err != nil {
		panic(err) // the flag is defined above
	}
	return cmd
}

// writeNew writes a file that must not be there yet, whole or not at all.
func writeNew(path string, text []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already: left as it is", path)
	}
	if err != nil {
		return &exitError{exitNotWritten, err}
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
		return &exitError{exitNotWritten, err}
	}
	return nil
}
