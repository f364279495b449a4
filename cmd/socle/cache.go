package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/output"
	"socle/cmd/set/words"
	"socle/out/store"
)

// cacheReport is what is told of the cache.
type cacheReport struct {
	Folder      string     `json:"folder"` // "" where it is off
	Off         bool       `json:"off"`
	Cleared     bool       `json:"cleared"` // then what follows is what went
	Entries     int        `json:"entries"`
	Bytes       int64      `json:"bytes"`
	Limit       int64      `json:"limit"`             // bytes
	Temporaries int        `json:"temporaries"`       // files of builds under way or broken off
	Oldest      *time.Time `json:"oldest,omitempty"`  // use of an entry
	LastUse     *time.Time `json:"lastUse,omitempty"` // of any
}

func cacheCmd() *cobra.Command {
	var json bool
	cmd := &cobra.Command{
		Use:   "cache [clear]",
		Short: "Show or empty the cache of finished bases",
		Long: `Socle keeps finished bases, so that after a small change a build makes only the bases
that the change reached. "socle cache" shows where they are, how much disk space they
take and when one was last used. "socle cache clear" deletes them.

The cache is safe to delete: the next build only takes longer. When it is full, the
bases not used for the longest time are deleted first.

Two environment variables control it:

  SOCLE_CACHE        its folder, or off (default: socle in the user's cache folder)
  SOCLE_CACHE_LIMIT  its largest size, such as 500MiB or 2GiB (default 4GiB)`,
		Example: `  socle cache
  socle cache clear
  SOCLE_CACHE=off socle build harbour.toml
  SOCLE_CACHE_LIMIT=20GiB socle build harbour.toml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && args[0] != "clear" {
				return fmt.Errorf("cache %s: allowed: nothing, or clear", strings.Join(args, " "))
			}
			return nil
		},
		ValidArgs: []string{"clear"},
		RunE: func(cmd *cobra.Command, args []string) error {
			s, err := cache.Open()
			var system syscall.Errno
			switch {
			case errors.As(err, &system):
				return &set.Failure{Kind: set.NotWritten, Err: err}
			case err != nil:
				return err
			}
			r := cacheReport{Off: s == nil, Cleared: len(args) == 1 && s != nil}
			if s != nil {
				tell := s.Usage
				if r.Cleared {
					tell = s.Clear
				}
				u, err := tell()
				if err != nil {
					return &set.Failure{Kind: set.NotWritten, Err: fmt.Errorf("the cache: %w", err)}
				}
				r.take(s.Dir(), u)
			}
			if json {
				return output.WriteJSON(cmd.OutOrStdout(), r)
			}
			r.print(cmd.OutOrStdout())
			return nil
		},
	}
	cmd.Flags().BoolVar(&json, "json", false, "print one JSON document instead of text")
	return cmd
}

func (r *cacheReport) take(dir string, u store.Usage) {
	r.Folder, r.Entries, r.Bytes, r.Limit, r.Temporaries = dir, u.Entries, u.Bytes, u.Limit, u.Temporaries
	if u.Entries > 0 {
		r.Oldest, r.LastUse = &u.Oldest, &u.Newest
	}
}

func (r *cacheReport) print(w io.Writer) {
	entries := fmt.Sprintf("%s, %s", words.Count(r.Entries, "entry", "entries"), cache.SizeInWords(r.Bytes))
	leftOver := ""
	if r.Temporaries > 0 {
		leftOver = words.Count(r.Temporaries, "temporary file", "temporary files")
	}
	switch {
	case r.Off:
		fmt.Fprintf(w, "the cache is off: %s says so\n", cache.EnvCache)
	case r.Cleared:
		fmt.Fprintf(w, "removed from %s: %s\n", r.Folder, strings.TrimSuffix(entries+", "+leftOver, ", "))
	default:
		fmt.Fprintf(w, "folder    %s\nholds     %s\nlimit     %s\n", r.Folder, entries, cache.SizeInWords(r.Limit))
		if r.LastUse != nil {
			const layout = "2006-01-02 15:04"
			fmt.Fprintf(w, "last use  %s (to the hour); the oldest %s\n", r.LastUse.Format(layout), r.Oldest.Format(layout))
		}
		if leftOver != "" {
			fmt.Fprintf(w, "and       %s, of builds that are running or were stopped\n", leftOver)
		}
	}
}
