package report

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"

	"socle/cmd/set"
	"socle/cmd/set/inspection"
	"socle/cmd/set/output"
	"socle/out"
	"socle/parts/assembly"
)

// BetweenBases is the room left between bases on a plate, mm: common practice, no
// source.
const BetweenBases = 3.0

// PlateLayout is how the pieces of a set lie on the printer's plates. Where the plate is
// not known there is one plate, and no places.
type PlateLayout struct {
	pieces []string
	spots  []out.Spot
	Plates int
}

// LayOut lays pieces on the printer's plates by their footprints; of what lies tilted,
// the room that it takes leaning over a long side counts too.
func LayOut(s *set.Set, pieces []assembly.Piece) PlateLayout {
	var l PlateLayout
	boxes := make([][2]float64, len(pieces))
	for i, p := range pieces {
		l.pieces = append(l.pieces, p.Name)
		boxes[i] = [2]float64{p.Box.Max.X - p.Box.Min.X, p.Box.Max.Y - p.Box.Min.Y}
		if lean := inspection.Lean(s); lean > 0 {
			short := &boxes[i][0]
			if boxes[i][1] < boxes[i][0] {
				short = &boxes[i][1]
			}
			sin, cos := math.Sincos(lean * math.Pi / 180)
			*short = math.Max(*short, *short*cos+p.Box.Max.Z*sin)
		}
	}
	plate := s.Site.Printer.Plate
	if plate == nil {
		l.Plates = min(len(pieces), 1)
		return l
	}
	l.spots = out.Plates(boxes, *plate, BetweenBases)
	for i, at := range l.spots {
		l.Plates = max(l.Plates, at.Plate+1)
		if fit := inspection.OverPlate(s, &pieces[i]); at.Alone && fit.Over == 0 && fit.Lean == 0 {
			at.X, at.Y, at.Turn = plate[0]/2, plate[1]/2, fit.Turn // as across the plate
			l.spots[i] = at
		}
	}
	return l
}

// Of gives where a piece lies; false where that is not known.
func (l *PlateLayout) Of(piece string) (out.Spot, bool) {
	for i, at := range l.spots {
		if l.pieces[i] == piece {
			return at, true
		}
	}
	return out.Spot{}, false
}

// names lists the pieces on a plate, from 0, in the order of the scene.
func (l *PlateLayout) names(plate int) (all []string) {
	for i, name := range l.pieces {
		if l.spots == nil || l.spots[i].Plate == plate {
			all = append(all, name)
		}
	}
	return all
}

// File names the 3MF file of a plate, from 0.
func (l *PlateLayout) File(scene string, plate int) string {
	if l.Plates > 1 {
		return fmt.Sprintf("%s-plate-%d.3mf", scene, plate+1)
	}
	return scene + ".3mf"
}

// EarlierSets names the 3MF files of the scene in a folder that are left of a build which
// took another number of plates.
func (r *Report) EarlierSets(dir string) (names []string) {
	entries, err := os.ReadDir(dir)
	if err != nil || r.Set == nil && len(r.Sets) == 0 {
		return nil
	}
	ours := regexp.MustCompile(`^` + regexp.QuoteMeta(r.Scene) + `(-plate-\d+)?\.3mf$`)
	for _, e := range entries {
		now := slices.ContainsFunc(r.Written(), func(f *output.File) bool { return output.Within(dir, f.Path) == e.Name() })
		if ours.MatchString(e.Name()) && !now {
			names = append(names, e.Name())
		}
	}
	return names
}
