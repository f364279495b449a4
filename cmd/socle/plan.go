package main

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/plan"
	"socle/parts/planar"
)

// planEnd ends the name of the file of a plan, after that of the scene.
const planEnd = "-plan.svg"

// planFlags is what the command line asks of a plan.
type planFlags struct {
	chosen
	to    string
	quiet bool
}

func planCmd() *cobra.Command {
	var f planFlags
	cmd := &cobra.Command{
		Use:   "plan SCENE",
		Short: "Draw the plan of a scene as SVG that prints at 1:1",
		Long: `Plan draws the scene from above, north up, and writes DIR/SCENE-plan.svg: the
outlines of all parts, every stone of the paving, levels, damage, and the
footprint of every base with its name and turn. A mm on the paper is a mm on
the print, so that miniatures can be tried on it. A base that is too large for
the printer is told. Nothing is meshed: it takes a moment.

SCENE is a scene file, - for standard input, or the name of a shipped scene.`,
		Example: `  socle plan harbour.toml
  socle plan saltmere-quay --variant high-water --to quay
  socle plan saltmere-quay --set crater.hit.diameter=40`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.draw(cmd, args[0])
		},
		ValidArgsFunction: completeScene,
	}
	flags := cmd.Flags()
	f.chosen.flags(flags)
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE)")
	flags.BoolVar(&f.quiet, "quiet", false, "print errors only")
	return cmd
}

func (f *planFlags) draw(cmd *cobra.Command, arg string) error {
	s, err := f.open(cmd, arg)
	if err != nil {
		return err
	}
	pieces, err := s.cut(nil)
	if err != nil {
		return err
	}
	if !f.quiet {
		s.tellTooLarge(cmd.ErrOrStderr(), pieces)
	}
	dir := f.to
	if dir == "" {
		dir = filepath.Join("build", s.name)
	}
	files := &outputs{dir: dir, messages: cmd.ErrOrStderr()}
	defer files.discard()
	d := s.plan()
	file, err := files.add(s.name+planEnd, func(w io.Writer) error { return plan.Write(w, d) })
	if err == nil {
		err = files.commit()
	}
	if err != nil {
		return &exitError{exitNotWritten, err}
	}
	if !f.quiet {
		fmt.Fprintln(cmd.OutOrStdout(), file.File)
	}
	return nil
}

// plan is the drawing of a scene that has been cut.
func (s *scene) plan() *plan.Drawing {
	p := s.whole.Plan()
	d := &plan.Drawing{Title: s.site.Title, Ratio: s.site.Scale.Ratio, Min: planPoint(p.Box.Min), Max: planPoint(p.Box.Max)}
	if d.Title == "" {
		d.Title = s.name
	}
	for _, k := range p.Strokes {
		d.Strokes = append(d.Strokes, plan.Stroke{
			Part: k.Part, Kind: k.Kind, Layer: k.Layer.String(), Line: plan.Line(k.Line),
			Path: planPath(k.Path), Closed: k.Closed, Covers: k.Covers,
		})
	}
	for _, l := range p.Labels {
		d.Labels = append(d.Labels, plan.Label{At: planPoint(l.At), Text: l.Text})
	}
	for _, l := range p.Levels {
		level := plan.Level{Name: l.Name, Height: l.Height}
		for _, at := range l.Places {
			level.Places = append(level.Places, planPoint(at))
		}
		d.Levels = append(d.Levels, level)
	}
	for _, b := range p.Footprints {
		base := plan.Base{
			Name: b.Name, Size: b.Size, At: planPoint(b.At), Turn: b.Turn,
			Axis: planPoint(b.Axis), Path: planPath(b.Path),
		}
		for _, st := range b.Stands {
			base.Stands = append(base.Stands, planPath(st))
		}
		d.Bases = append(d.Bases, base)
	}
	return d
}

func planPoint(p r2.Vec) plan.Point { return plan.Point{X: p.X, Y: p.Y} }

func planPath(path []planar.Node) []plan.Node {
	out := make([]plan.Node, len(path))
	for i, n := range path {
		out[i] = plan.Node{To: planPoint(n.To), RX: n.Radii.X, RY: n.Radii.Y, Turn: n.Turn, Large: n.Large, Clockwise: n.Clockwise}
	}
	return out
}
