package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/out/plainfile"
	"socle/scenes"
	"socle/sdf/sight"
)

// settle is how often the files are looked at. What they hold counts as saved when it
// is the same twice in a row: editors write a file in several steps. Common practice,
// no source.
const settle = 150 * time.Millisecond

// draftFormats are what a draft may write: nothing that could be printed by mistake.
var draftFormats = set.Formats{set.FormatPNG, set.FormatHTML, set.FormatJSON}

func watchCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "watch SCENE",
		Short: "Build the bases of a scene now, and again each time its file is saved",
		Long: `Watch builds a scene as build does, and again each time its file, or the file of
--printer, is saved: first a draft to look at, then fine, to print. The draft's pictures
and report go to DIR/draft, without solids; the fine build goes to DIR. The first
picture of a round is in its place as soon as it is drawn, before all the rest.

Each round starts with the time of day and the changes, key by key. If you save during
a round, that round stops. If the scene has an error, watch reports it and waits for
the next save. It also waits while the file or its folder is missing, or the file is
not a plain file. Links are followed: saving the file that a link leads to counts as a
save.

--setting chooses only one of the two; with --cell there is only one.

Press Ctrl-C to end it, at any time. Unfinished work is removed, and the exit code is 0,
because you asked for nothing else.`,
		Example: `  socle watch harbour.toml
  socle watch harbour.toml --setting draft --base walker`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := watchable(args[0], f.Printer); err != nil {
				return err
			}
			if cmd.Flags().Changed("setting") && f.Setting != set.SettingDraft && f.Setting != set.SettingFine {
				return fmt.Errorf("--setting %q: allowed: %s, %s", f.Setting, set.SettingDraft, set.SettingFine)
			}
			if err := f.valid(cmd.Flags().Changed("format")); err != nil {
				return err
			}
			return (&watch{buildFlags: &f, cmd: cmd, path: args[0], sights: build.NewSights()}).run(cmd.Context())
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, "")
	cmd.Flags().Lookup("setting").Usage = "only the setting `NAME`: draft or fine (default both, the draft first)"
	f.toFlag(cmd.Flags())
	sizeFlag(cmd.Flags(), &f.Request)
	f.formatFlag(cmd.Flags())
	return cmd
}

// watchable refuses what has no file to be saved.
func watchable(arg, printer string) error {
	switch {
	case arg == "-":
		return errors.New("standard input is read once and cannot be watched: allowed: a scene file, such as socle new mine --from saltmere-quay writes")
	case !set.IsFile(arg) && slices.Contains(scenes.Shipped(), arg):
		return fmt.Errorf("%s is a shipped scene and never changes: copy it with socle new mine --from %s, and watch the copy", arg, arg)
	case !set.IsFile(arg):
		return set.NotFound(arg)
	}
	for _, path := range []string{arg, printer} {
		if set.IsPipe(path) {
			return fmt.Errorf("%s is not a plain file and cannot be watched: allowed: a file", path)
		}
	}
	return nil
}

// watch is a scene file that is being watched.
type watch struct {
	*buildFlags
	cmd  *cobra.Command
	path string

	last   *scenes.Scene // that was read without a fault; nil before the first
	sights *sight.Keeper // of all rounds
}

// snapshot is what was seen in one look at the files.
type snapshot struct {
	text    string // what stands in them
	missing string // or, where one cannot be read, why
}

// read looks at the files.
func (w *watch) read() (snapshot, error) {
	files := []string{w.path}
	if w.Printer != "" {
		files = append(files, w.Printer)
	}
	var all strings.Builder
	for _, file := range files {
		text, err := plainfile.Read(file, scenes.MaxSize)
		switch dir := filepath.Dir(file); {
		case errors.Is(err, fs.ErrNotExist) && !isFolder(dir):
			return snapshot{missing: fmt.Sprintf("%s and its folder %s are missing", file, dir)}, nil
		case errors.Is(err, fs.ErrNotExist):
			return snapshot{missing: file + " is missing"}, nil
		case err != nil:
			return snapshot{missing: err.Error()}, nil
		}
		fmt.Fprintf(&all, "%d\n%s", len(text), text)
	}
	return snapshot{text: all.String()}, nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// run builds until ctx ends.
func (w *watch) run(ctx context.Context) error {
	stop := func() {}
	defer func() { stop() }()
	messages := w.cmd.ErrOrStderr()
	tick := time.NewTicker(settle)
	defer tick.Stop()
	var built string // the text of the last round
	var told, last snapshot
	for first := true; ; first = false {
		now, err := set.Await(ctx, w.read)
		if err != nil {
			return nil
		}
		if first || now == last && now != told {
			if told.missing != "" && now.missing == "" {
				fmt.Fprintf(messages, "%s  %s is back\n", time.Now().Format(time.TimeOnly), w.path)
			}
			told = now
			switch {
			case now.missing != "":
				fmt.Fprintf(messages, "%s  %s; waiting for it\n", time.Now().Format(time.TimeOnly), now.missing)
			case first || now.text != built:
				built = now.text
				stop()
				stop = w.start(ctx)
			}
		}
		last = now
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
	}
}

// start begins a round and gives what breaks it off and waits for its end.
func (w *watch) start(ctx context.Context) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	over := make(chan struct{})
	go func() {
		defer close(over)
		w.round(ctx)
	}()
	return func() {
		cancel()
		<-over
	}
}

// round builds the scene as it stands, at each setting, and tells what came of it.
func (w *watch) round(ctx context.Context) {
	messages := w.cmd.ErrOrStderr()
	settings := []string{set.SettingDraft, set.SettingFine}
	switch {
	case w.Setting != "":
		settings = []string{w.Setting}
	case w.cmd.Flags().Changed("cell"):
		settings = []string{set.SettingFine}
	}
	fmt.Fprintf(messages, "\n%s  %s\n", time.Now().Format(time.TimeOnly), w.path)
	for i, setting := range settings {
		err := w.build(ctx, setting, i == 0)
		if ctx.Err() != nil {
			fmt.Fprintf(messages, "%s: stopped\n", setting)
			return
		}
		var failure *set.Failure
		if err != nil && !(errors.As(err, &failure) && failure.Err == nil) {
			fmt.Fprintf(messages, "socle: %v\n", w.failed(w.cmd, err))
			break
		}
	}
	fmt.Fprintf(messages, "%s  waiting for the next save; Ctrl-C ends\n", time.Now().Format(time.TimeOnly))
}

// build builds at one setting; first is the first of a round, which tells what was
// changed.
func (w *watch) build(ctx context.Context, setting string, first bool) error {
	f := *w.buildFlags
	f.Setting = setting
	cmd := *w.cmd
	cmd.SetContext(ctx)
	opened, err := f.open(&cmd, w.path)
	if err != nil {
		return err
	}
	s, err := opened.Cut(f.Bases)
	if err != nil {
		return err
	}
	messages := w.cmd.ErrOrStderr()
	if first && w.last != nil && !f.quiet {
		for _, d := range scenes.Differences(w.last, s.Read) {
			fmt.Fprintln(messages, "  "+changedLine(d))
		}
	}
	w.last = s.Read
	if f.To == "" {
		f.To = filepath.Join("build", s.Name)
	}
	if setting == set.SettingDraft {
		f.To = filepath.Join(f.To, set.SettingDraft)
		f.Formats = slices.DeleteFunc(slices.Clone(f.Formats), func(format string) bool { return !draftFormats.Has(format) })
		if len(f.Formats) == 0 {
			f.Formats = set.Formats{set.FormatPNG}
		}
	}
	if !f.quiet {
		fmt.Fprintln(messages, s.Resolution)
	}
	o := f.options()
	o.Sight, o.Sights = first, w.sights
	return f.run(ctx, &cmd, build.New(s, o))
}

// changedLine tells of one difference.
func changedLine(d scenes.Difference) string {
	left := func(value string) string {
		if value == "" {
			return "left out"
		}
		return value
	}
	switch {
	case d.Added:
		return d.Path + " is new"
	case d.Removed:
		return d.Path + " is gone"
	}
	return fmt.Sprintf("%s: %s, was %s", d.Path, left(d.Now), left(d.Was))
}
