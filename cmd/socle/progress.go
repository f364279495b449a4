package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/words"
)

// progress shows how far work has come: a bar on a terminal, elsewhere a line for each
// base that is done, and nothing where it is quiet. It uses no colour.
type progress struct {
	w     io.Writer
	quiet bool
}

// Heading tells what comes next.
func (p *progress) Heading(text string) {
	if !p.quiet {
		fmt.Fprintln(p.w, text)
	}
}

// bar shows how far one task has come.
type bar struct {
	mu    sync.Mutex
	bar   *progressbar.ProgressBar // nil off a terminal
	lines io.Writer                // nil on a terminal
	above io.Writer                // of the bar, on a terminal
	task  set.Task
	done  []float64
}

// barSteps is the number of steps that the bar has for each base.
const barSteps = 200

// Start begins to show a task.
func (p *progress) Start(t set.Task) set.Bar {
	b := &bar{task: t, done: make([]float64, len(t.Names))}
	switch {
	case p.quiet:
	case onTerminal(p.w):
		b.above = p.w
		b.bar = progressbar.NewOptions(barSteps*len(t.Names),
			progressbar.OptionSetWriter(p.w),
			progressbar.OptionSetDescription(t.What),
			progressbar.OptionSetWidth(30),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionSetPredictTime(true),
			progressbar.OptionEnableColorCodes(false),
			progressbar.OptionClearOnFinish(),
		)
	default:
		b.lines = p.w
	}
	return b
}

// onTerminal says whether w is a terminal that takes more than plain lines.
func onTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb"
}

// At is told of the share of a base that is done; from any goroutine.
func (b *bar) At(i int, share float64) {
	if b.bar == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.done[i] = max(b.done[i], min(1, share))
	sum := 0.0
	for _, d := range b.done {
		sum += d
	}
	b.show(int(sum * barSteps))
}

// show never lets the bar reach its end by itself: finish does that. What the
// terminal makes of it is no concern of the build.
func (b *bar) show(step int) {
	_ = b.bar.Set(min(step, barSteps*len(b.task.Names)-1))
}

// Made is told that a base is done, in the order of the scene.
func (b *bar) Made(i int, kept bool, err error) {
	what := cmp.Or(b.task.Word, "proven")
	switch {
	case err != nil:
		what = "NOT " + strings.ToUpper(what)
	case kept:
		what += " before, and kept"
	}
	b.Done(i, what)
}

// Done is told what came of a subject.
func (b *bar) Done(i int, what string) {
	b.At(i, 1)
	if b.lines != nil {
		fmt.Fprintf(b.lines, "%s: %s (%d of %d)\n", b.task.Names[i], what, i+1, len(b.task.Names))
	}
}

// Tell tells of something on a line of its own, above the bar.
func (b *bar) Tell(text string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.bar != nil {
		_ = b.bar.Clear()
		fmt.Fprintln(b.above, text)
	} else if b.lines != nil {
		fmt.Fprintln(b.lines, text)
	}
}

// Finish clears the bar, so that what follows starts on a clean line.
func (b *bar) Finish() {
	if b.bar != nil {
		b.mu.Lock()
		defer b.mu.Unlock()
		_ = b.bar.Clear()
	}
}

// announce tells, before a build begins, what it makes and roughly how long that takes.
// That is counted from the work ahead, by no clock, and is written nowhere else.
func (f *buildFlags) announce(ctx context.Context, w io.Writer, b *build.Build) error {
	if f.quiet {
		return nil
	}
	seconds, err := b.ProcessorSeconds(ctx)
	if err != nil {
		return err
	}
	n := runtime.GOMAXPROCS(0)
	fmt.Fprintf(w, "%s: %s\n", words.Count(len(b.Set.Pieces), "base", "bases"), strings.Join(makes(b), ", "))
	fmt.Fprintf(w, "roughly %s on %s if nothing else is running; less if bases come from the cache\n",
		roughly(seconds/float64(n)), words.Count(n, "processor", "processors"))
	return nil
}

// makes lists what a build makes.
func makes(b *build.Build) []string {
	all := []string{"meshed, proven and inspected"}
	for _, f := range []struct{ format, word string }{{set.FormatSTL, "STL"}, {set.Format3MF, "3MF"}} {
		if b.Formats.Has(f.format) {
			all = append(all, f.word)
		}
	}
	if b.Formats.Has(set.FormatPNG, set.FormatHTML) {
		pictures := "pictures from all sides and near by"
		switch {
		case len(b.Views) > 0:
			pictures = "pictures (" + strings.Join(b.Views, ", ") + ")"
		case b.From != "":
			pictures = "a picture from " + b.From
		}
		all = append(all, pictures)
		if b.DrawsVariants() {
			all = append(all, words.Count(len(b.Set.Read.Variants), "variant", "variants")+" on a sheet")
		}
	}
	for _, f := range []struct{ format, word string }{{set.FormatSVG, "the plan"}, {set.FormatHTML, "the report"}} {
		if b.Formats.Has(f.format) {
			all = append(all, f.word)
		}
	}
	return all
}

// roughly tells of a time in one figure.
func roughly(seconds float64) string {
	figure := func(v float64) string {
		scale := math.Pow(10, math.Floor(math.Log10(math.Max(v, 1))))
		return fmt.Sprintf("%g", math.Max(1, math.Round(v/scale)*scale))
	}
	switch {
	case seconds < 10:
		return "10 s or less"
	case seconds < 90:
		return figure(seconds) + " s"
	case seconds < 90*60:
		return figure(seconds/60) + " min"
	}
	return figure(seconds/3600) + " h"
}
