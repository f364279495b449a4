package vary

import (
	"fmt"
	"strings"

	"socle/cmd/set"
	"socle/parts"
	"socle/parts/assembly"
	"socle/scenes"
)

// Trial is one combination of values, or one layout.
type Trial struct {
	Number int // 0: the scene as it is
	Label  string
	Sets   []string     // values, as PATH=VALUE
	Moves  []parts.Move // that go over them
}

// Texts are its values as --set takes them.
func (t Trial) Texts() []string {
	all := append([]string{}, t.Sets...)
	for _, m := range t.Moves {
		all = append(all, scenes.MoveText(m))
	}
	return all
}

// name is what the sheet and the table call it.
func (t Trial) name() string {
	if t.Number == 0 {
		return "as it is"
	}
	return fmt.Sprint(t.Number)
}

// Sweep lists every combination of the values of sweeps, numbered from 1.
func Sweep(s *set.Scene, sweeps []string) ([]Trial, error) {
	var all []Trial
	sweep, err := scenes.ReadSweep(sweeps)
	if err != nil {
		return nil, err
	}
	if err := sweep.Check(s.Read); err != nil {
		return nil, err
	}
	for i, c := range sweep.Combinations() {
		all = append(all, Trial{Number: i + 1, Label: c.Label, Sets: c.Sets})
	}
	return all, nil
}

// Layouts lists layouts of the scene's damage, numbered from 1.
func Layouts(s *set.Scene, o assembly.LayoutOptions) ([]Trial, error) {
	var all []Trial
	layouts, err := assembly.Layouts(s.Site, o)
	if err != nil {
		return nil, err
	}
	for _, l := range layouts {
		all = append(all, Trial{Number: l.Number, Label: aimsOf(l), Moves: l.Moves})
	}
	return all, nil
}

// aimsOf tells what a layout aims where.
func aimsOf(l assembly.Layout) string {
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
