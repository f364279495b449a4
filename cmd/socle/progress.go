package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress shows how far a build has come: a bar on a terminal, elsewhere a
// line for each base that is done, and nothing where it is quiet. It uses no
// colour.
type progress struct {
	mu    sync.Mutex
	bar   *progressbar.ProgressBar // nil off a terminal
	lines io.Writer                // nil on a terminal
	word  string                   // for what is done with a base
	names []string
	done  []float64
}

// barSteps is the number of steps that the bar has for each base.
const barSteps = 200

// newProgress shows how far it is with the bases of some names; what says what is done.
func newProgress(w io.Writer, what string, names []string, quiet bool) *progress {
	p := &progress{word: "proven", names: names, done: make([]float64, len(names))}
	switch {
	case quiet:
	case onTerminal(w):
		p.bar = progressbar.NewOptions(barSteps*len(names),
			progressbar.OptionSetWriter(w),
			progressbar.OptionSetDescription(what),
			progressbar.OptionSetWidth(30),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionSetPredictTime(true),
			progressbar.OptionEnableColorCodes(false),
			progressbar.OptionClearOnFinish(),
		)
	default:
		p.lines = w
	}
	return p
}

// onTerminal says whether w is a terminal that takes more than plain lines.
func onTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb"
}

// at is told of the share of a base that is done; from any goroutine.
func (p *progress) at(i int, share float64) {
	if p.bar == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done[i] = max(p.done[i], min(1, share))
	sum := 0.0
	for _, d := range p.done {
		sum += d
	}
	p.show(int(sum * barSteps))
}

// show never lets the bar reach its end by itself: finish does that. What the
// terminal makes of it is no concern of the build.
func (p *progress) show(step int) {
	_ = p.bar.Set(min(step, barSteps*len(p.names)-1))
}

// base is told that a base is done, in the order of the scene.
func (p *progress) base(i int, m meshed) {
	p.at(i, 1)
	if p.lines != nil {
		what := p.word
		switch {
		case m.err != nil:
			what = "NOT " + strings.ToUpper(p.word)
		case m.kept:
			what += " before, and kept"
		}
		fmt.Fprintf(p.lines, "%s: %s (%d of %d)\n", p.names[i], what, i+1, len(p.names))
	}
}

// told is told what came of a subject.
func (p *progress) told(i int, what string) {
	p.at(i, 1)
	if p.lines != nil {
		fmt.Fprintf(p.lines, "%s: %s (%d of %d)\n", p.names[i], what, i+1, len(p.names))
	}
}

// finish clears the bar, so that what follows starts on a clean line.
func (p *progress) finish() {
	if p.bar != nil {
		p.mu.Lock()
		defer p.mu.Unlock()
		_ = p.bar.Clear()
	}
}

// plural is a count with its word.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
