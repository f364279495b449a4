package scenes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// MostCombinations is the most combinations of one sweep.
const MostCombinations = 64

// Sweep is a grid of values that a scene is tried with.
type Sweep struct {
	args []string
	axes []axis
}

// axis is one path with the values that it takes.
type axis struct {
	path   string
	values []string // as they are written in a scene or a --set
}

// Combination is one place of the grid.
type Combination struct {
	Sets  []string // for Scene.With, in the order of the arguments
	Label string   // "depth 4, at [150, 60]"
}

// sweepForms says how the argument of a sweep is written.
const sweepForms = "PATH=VALUE;VALUE;..., or PATH=FROM:TO:COUNT for values that are evenly spread"

// ReadSweep reads the arguments of a sweep, each path=SPEC. A SPEC is VALUE;VALUE;...,
// written as in a --set, or FROM:TO:COUNT: so many values, 2 to 64, evenly spread
// with both ends, which are plain numbers or full sizes of one unit, as 2 m:4 m:3.
// The error names the argument and what is allowed.
func ReadSweep(args []string) (*Sweep, error) {
	if len(args) == 0 {
		return nil, fmt.Errorf("nothing to sweep: allowed: %s", sweepForms)
	}
	if len(args) > maxSets {
		return nil, fmt.Errorf("a sweep of %d paths: allowed: %d at most", len(args), maxSets)
	}
	s := &Sweep{}
	many := 1
	for _, arg := range args {
		arg = strings.NewReplacer("\n", " ", "\r", " ").Replace(arg)
		a, err := readAxis(arg)
		if err != nil {
			return nil, fmt.Errorf("sweep %s: %w", quote(arg), err)
		}
		for _, other := range s.axes {
			if within(a.path, other.path) || within(other.path, a.path) {
				return nil, fmt.Errorf("sweep %s: %s is swept already: allowed: each path once", quote(arg), other.path)
			}
		}
		if many *= len(a.values); many > MostCombinations {
			return nil, fmt.Errorf("sweep %s: with this there are more than %d combinations: allowed: %d at most, the counts of all paths multiplied",
				quote(arg), MostCombinations, MostCombinations)
		}
		s.args, s.axes = append(s.args, arg), append(s.axes, a)
	}
	return s, nil
}

// readAxis reads one argument.
func readAxis(arg string) (a axis, err error) {
	path, spec, ok := strings.Cut(arg, "=")
	a.path, spec = strings.TrimSpace(path), strings.TrimSpace(spec)
	switch {
	case !ok:
		return a, fmt.Errorf("no = between a path and its values: allowed: %s", sweepForms)
	case a.path == "":
		return a, fmt.Errorf("no path before the =: allowed: %s", sweepForms)
	case spec == "":
		return a, fmt.Errorf("no value after the =: allowed: %s", sweepForms)
	}
	values, err := splitOutside(spec, ';')
	if err != nil {
		return a, err
	}
	if len(values) > MostCombinations {
		return a, fmt.Errorf("%d values: allowed: %d at most", len(values), MostCombinations)
	}
	for _, value := range values {
		ends, err := splitOutside(value, ':')
		switch {
		case err != nil:
			return a, err
		case value == "":
			return a, fmt.Errorf("an empty value: allowed: VALUE;VALUE with a value on both sides of each ;")
		case len(ends) > 1 && len(values) > 1:
			return a, fmt.Errorf("%s among other values: allowed: values with ; between them, or one FROM:TO:COUNT", quote(value))
		case len(ends) == 3:
			a.values, err = evenValues(ends[0], ends[1], ends[2])
			return a, err
		case len(ends) > 1:
			return a, fmt.Errorf("%s is not FROM:TO:COUNT: allowed: %s", quote(value), spreadForms)
		case slices.Contains(a.values, value):
			return a, fmt.Errorf("the value %s twice: allowed: each value once", quote(value))
		}
		if _, err := parseValue(newSource("", value, 0), value, 0); err != nil {
			f := faultOf(err)
			return a, fmt.Errorf("%s: %s: allowed: %s", quote(value), f.Text, f.Allowed)
		}
		a.values = append(a.values, value)
	}
	return a, nil
}

// splitOutside splits a text at a mark that stands outside quotes, brackets and
// braces, and trims what is between.
func splitOutside(text string, mark byte) ([]string, error) {
	var all []string
	depth, from := 0, 0
	var quoted byte // the quote that is open
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case quoted == '"' && c == '\\':
			i++
		case quoted != 0:
			if c == quoted {
				quoted = 0
			}
		case c == '"' || c == '\'':
			quoted = c
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			if depth--; depth < 0 {
				return nil, fmt.Errorf("%q closes what is not open: allowed: a list as [1, 2], a table as { rect = [0, 0, 40, 30] }", c)
			}
		case c == mark && depth == 0:
			all = append(all, strings.TrimSpace(text[from:i]))
			from = i + 1
		}
	}
	if quoted != 0 || depth > 0 {
		return nil, fmt.Errorf("a quote, a bracket or a brace is not closed: allowed: text in quotes, a list as [1, 2], a table as { rect = [0, 0, 40, 30] }")
	}
	return append(all, strings.TrimSpace(text[from:])), nil
}

// Combinations gives the whole grid, the last argument varying fastest.
func (s *Sweep) Combinations() []Combination {
	many := 1
	for _, a := range s.axes {
		many *= len(a.values)
	}
	words := s.words()
	all := make([]Combination, many)
	for i := range all {
		rest := i
		sets, labels := make([]string, len(s.axes)), make([]string, len(s.axes))
		for k := len(s.axes) - 1; k >= 0; k-- {
			a := s.axes[k]
			value := a.values[rest%len(a.values)]
			rest /= len(a.values)
			sets[k] = a.path + "=" + value
			labels[k] = words[k] + " " + unquotedValue(value)
		}
		all[i] = Combination{Sets: sets, Label: strings.Join(labels, ", ")}
	}
	return all
}

// words are what labels call the paths: by the last word, or by the whole where two
// last words are alike.
func (s *Sweep) words() []string {
	last := make([]string, len(s.axes))
	for i, a := range s.axes {
		last[i] = a.path[strings.LastIndexByte(a.path, '.')+1:]
	}
	words := slices.Clone(last)
	for i := range last {
		for j := range last {
			if i != j && last[i] == last[j] {
				words[i] = s.axes[i].path
			}
		}
	}
	return words
}

// unquotedValue is a value without its quotes where it is no more than text in them.
func unquotedValue(value string) string {
	if text, err := strconv.Unquote(value); err == nil && value[0] == '"' && text == value[1:len(value)-1] {
		return text
	}
	if n := len(value); n > 1 && value[0] == '\'' && strings.IndexByte(value[1:], '\'') == n-2 {
		return value[1 : n-1]
	}
	return value
}

// Check says whether every path leads to a value of the scene. The error is a
// *Faults, as a --set that leads nowhere has it.
func (s *Sweep) Check(of *Scene) error {
	faults := &Faults{}
	src := newSource("sweep", strings.Join(s.args, "\n"), 1)
	for i, a := range s.axes {
		if _, wrong := target(of.root, a.path); wrong != nil {
			_, at := trim(s.args[i], src.lines[i])
			faults.add(wrong.fault(span{src, at, at + len(a.path)}))
		}
	}
	return faults.found()
}
