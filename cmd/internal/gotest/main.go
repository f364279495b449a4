// Command gotest runs go test with the arguments that it is given. It prints what go test
// prints, and then the ten tests that took the most time. It ends with 1 when a test fails.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// shown is how many of the slowest tests are listed.
const shown = 10

func main() {
	cmd := exec.Command("go", append([]string{"test", "-json"}, os.Args[1:]...)...)
	cmd.Stderr = os.Stderr
	events, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err == nil {
		r := results{}
		err = r.read(events, os.Stdout)
		if ended := cmd.Wait(); ended != nil {
			err = ended
		}
		fmt.Printf("\nthe slowest tests, with their subtests, s:\n%s", r.slowest(shown))
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "go test:", err)
		os.Exit(1)
	}
}

// event is one line of go test -json (go doc test2json).
type event struct {
	Action, Package, Test, Output string
	Elapsed                       float64 // s
}

// result is what is known of a test.
type result struct {
	seconds float64 // of its own function, without the time that it waited for others
	output  []byte  // printed when it fails
}

// results are those of the tests, by package and name.
type results map[[2]string]*result

// read reads events to their end and prints, as go test does without -v, the lines about
// packages and the output of tests that failed or never ended. A line that is no event is
// printed as it is.
func (r results) read(events io.Reader, to io.Writer) error {
	lines := bufio.NewReader(events)
	for {
		line, err := lines.ReadBytes('\n')
		printed := line
		var e event
		if json.Unmarshal(line, &e) == nil {
			printed = r.take(e)
		}
		if _, err := to.Write(printed); err != nil {
			return err
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// take notes an event and gives what is to be printed of it.
func (r results) take(e event) (printed []byte) {
	if e.Test == "" {
		switch e.Action {
		case "output", "build-output":
			if e.Output != "PASS\n" {
				return []byte(e.Output)
			}
		case "fail": // a panic or a timeout leaves tests that did not end
			for _, name := range slices.SortedFunc(maps.Keys(r), func(a, b [2]string) int { return slices.Compare(a[:], b[:]) }) {
				if name[0] == e.Package {
					printed = append(printed, r[name].output...)
				}
			}
		}
		return printed
	}
	name := [2]string{e.Package, e.Test}
	if r[name] == nil {
		r[name] = &result{}
	}
	one := r[name]
	switch e.Action {
	case "output":
		if !strings.HasPrefix(e.Output, "=== ") {
			one.output = append(one.output, e.Output...)
		}
	case "fail":
		printed, one.output, one.seconds = one.output, nil, e.Elapsed
	case "pass", "skip":
		one.output, one.seconds = nil, e.Elapsed
	}
	return printed
}

// slowest lists the n tests of most time, one a line. A test that waits for its parallel
// subtests counts no time of its own meanwhile: it has at least theirs, added up.
func (r results) slowest(n int) string {
	below := map[[2]string]float64{}
	whole := map[[2]string]float64{}
	byDepth := slices.SortedFunc(maps.Keys(r), func(a, b [2]string) int {
		return strings.Count(b[1], "/") - strings.Count(a[1], "/")
	})
	for _, name := range byDepth {
		seconds := max(r[name].seconds, below[name])
		if end := strings.LastIndexByte(name[1], '/'); end >= 0 {
			below[[2]string{name[0], name[1][:end]}] += seconds
		} else {
			whole[name] = seconds
		}
	}
	order := slices.SortedFunc(maps.Keys(whole), func(a, b [2]string) int {
		if whole[a] != whole[b] {
			if whole[a] > whole[b] {
				return -1
			}
			return 1
		}
		return slices.Compare(a[:], b[:])
	})
	var text strings.Builder
	for _, name := range order[:min(n, len(order))] {
		fmt.Fprintf(&text, "%7.1f  %s  %s\n", whole[name], name[1], name[0])
	}
	return text.String()
}
