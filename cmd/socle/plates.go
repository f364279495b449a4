package main

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"

	"socle/out"
	"socle/parts"
)

// betweenBases is the room left between bases on a plate, mm: common practice, no
// source.
const betweenBases = 3.0

// laidOut is how the pieces of a set lie on the printer's plates. Where the plate is
// not known there is one plate, and no places.
type laidOut struct {
	pieces []string
	spots  []out.Spot
	plates int
}

// layOut lays pieces on the printer's plates by their footprints; of what lies tilted,
// the room that it takes leaning over a long side counts too.
func (s *Set) layOut(pieces []parts.Piece) laidOut {
	var l laidOut
	boxes := make([][2]float64, len(pieces))
	for i, p := range pieces {
		l.pieces = append(l.pieces, p.Name)
		boxes[i] = [2]float64{p.Box.Max.X - p.Box.Min.X, p.Box.Max.Y - p.Box.Min.Y}
		if lean := s.lean(); lean > 0 {
			short := &boxes[i][0]
			if boxes[i][1] < boxes[i][0] {
				short = &boxes[i][1]
			}
			sin, cos := math.Sincos(lean * math.Pi / 180)
			*short = math.Max(*short, *short*cos+p.Box.Max.Z*sin)
		}
	}
	plate := s.site.Printer.Plate
	if plate == nil {
		l.plates = min(len(pieces), 1)
		return l
	}
	l.spots = out.Plates(boxes, *plate, betweenBases)
	for i, at := range l.spots {
		l.plates = max(l.plates, at.Plate+1)
		if fit := s.overPlate(&pieces[i]); at.Alone && fit.Over == 0 && fit.Lean == 0 {
			at.X, at.Y, at.Turn = plate[0]/2, plate[1]/2, fit.Turn // as across the plate
			l.spots[i] = at
		}
	}
	return l
}

// of gives where a piece lies; false where that is not known.
func (l *laidOut) of(piece string) (out.Spot, bool) {
	for i, at := range l.spots {
		if l.pieces[i] == piece {
			return at, true
		}
	}
	return out.Spot{}, false
}

// names lists the pieces on a plate, from 0, in the order of the scene.
func (l *laidOut) names(plate int) (all []string) {
	for i, name := range l.pieces {
		if l.spots == nil || l.spots[i].Plate == plate {
			all = append(all, name)
		}
	}
	return all
}

// file names the 3MF file of a plate, from 0.
func (l *laidOut) file(scene string, plate int) string {
	if l.plates > 1 {
		return fmt.Sprintf("%s-plate-%d.3mf", scene, plate+1)
	}
	return scene + ".3mf"
}

// earlierSets names the 3MF files of the scene in a folder that are left of a build which
// took another number of plates.
func (r *report) earlierSets(dir string) (names []string) {
	entries, err := os.ReadDir(dir)
	if err != nil || r.Set == nil && len(r.Sets) == 0 {
		return nil
	}
	ours := regexp.MustCompile(`^` + regexp.QuoteMeta(r.Scene) + `(-plate-\d+)?\.3mf$`)
	for _, e := range entries {
		now := slices.ContainsFunc(r.written(), func(f *fileReport) bool { return within(dir, f.File) == e.Name() })
		if ours.MatchString(e.Name()) && !now {
			names = append(names, e.Name())
		}
	}
	return names
}
