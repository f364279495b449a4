package main

import (
	"fmt"
	"strings"

	"socle/parts"
	"socle/scenes"
)

// trial is one combination of values, or one layout.
type trial struct {
	number int // 0: the scene as it is
	label  string
	sets   []string
}

// name is what the sheet and the table call it.
func (t trial) name() string {
	if t.number == 0 {
		return "as it is"
	}
	return fmt.Sprint(t.number)
}

// sweepTrials lists every combination of the values of sweeps, numbered from 1.
func sweepTrials(s *scene, sweeps []string) ([]trial, error) {
	var all []trial
	sweep, err := scenes.ReadSweep(sweeps)
	if err != nil {
		return nil, err
	}
	if err := sweep.Check(s.read); err != nil {
		return nil, err
	}
	for i, c := range sweep.Combinations() {
		all = append(all, trial{i + 1, c.Label, c.Sets})
	}
	return all, nil
}

// layoutTrials lists layouts of the scene's damage, numbered from 1.
func layoutTrials(s *scene, o parts.LayoutOptions) ([]trial, error) {
	var all []trial
	layouts, err := parts.Layouts(s.site, o)
	if err != nil {
		return nil, err
	}
	for _, l := range layouts {
		t := trial{number: l.Number, label: aimsOf(l)}
		for _, m := range l.Moves {
			t.sets = append(t.sets, m.Set())
		}
		all = append(all, t)
	}
	return all, nil
}

// aimsOf tells what a layout aims where.
func aimsOf(l parts.Layout) string {
	var aims []string
	for _, a := range l.Aimed {
		if a.Piece == "" {
			aims = append(aims, a.Part+" stays")
		} else {
			aims = append(aims, a.Part+" at "+a.Piece)
		}
	}
	return strings.Join(aims, ", ")
}
