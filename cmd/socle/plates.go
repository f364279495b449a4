package main

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/out"
	"socle/out/inspect"
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

// lean is how far bases lean that are laid tilted, degrees; 0 where they lie flat.
func (s *Set) lean() float64 {
	if s.site.Inspect.Laid != "tilted" {
		return 0
	}
	return s.site.Inspect.Tilt
}

// overPlate holds a piece against the printer by what is known before it is meshed:
// its outline at the foot, and its pads. The solid takes no less.
func (s *Set) overPlate(p *parts.Piece) inspect.PlateFit {
	in := p.Intent(s.site)
	var points [][3]float64
	at := func(q r2.Vec, z float64) { points = append(points, [3]float64{q.X, q.Y, z}) }
	for _, q := range in.Outline {
		at(q, in.Chamfer)
		at(q, math.Max(in.Chamfer, in.Floor))
	}
	at(r2.Vec{}, 0)
	for _, k := range in.Pads {
		at(k.At, k.Top)
	}
	return inspect.Fit(points, s.plateLimits())
}

// tooLarge tells of pieces that the printer cannot hold, as far as that is known before
// they are meshed.
func (s *Set) tooLarge(pieces []parts.Piece) (all []concern) {
	for i := range pieces {
		fit := s.overPlate(&pieces[i])
		for _, f := range fit.Findings(s.plateLimits(), [3]float64{}, [3]float64{}) {
			all = append(all, s.concernOf(&pieces[i], &f, nil))
		}
	}
	return all
}

// refuseTooLarge gives the error of a set that will not be printed as it is, with the
// place of each base that is too large.
func (s *Set) refuseTooLarge() error {
	var faults []parts.Fault
	for i := range s.pieces {
		p := &s.pieces[i]
		for _, c := range s.tooLarge(s.pieces[i : i+1]) {
			if c.Severity != parts.SeverityStop {
				continue
			}
			key, _, _ := strings.Cut(p.Footprint, " ")
			allowed := fmt.Sprintf("no taller than the printer prints, %g mm", c.Limit)
			if plate := s.site.Printer.Plate; plate != nil && c.Measure == string(inspect.OfPlan) {
				allowed = fmt.Sprintf("what fits on the plate, %g x %g mm, turned as it may be", plate[0], plate[1])
			}
			if s.lean() > 0 {
				allowed += fmt.Sprintf("; it leans by %g degrees, as [inspect] tilt has it", s.lean())
			}
			faults = append(faults, parts.Fault{Part: p.Base.Label(), Key: key, Text: fmt.Sprintf("%q is %s", p.Name, c.What), Allowed: allowed + "; --base NAME builds others alone"})
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return s.unfitting(faults)
}

// plateLimits is what the printer can hold.
func (s *Set) plateLimits() inspect.PlateLimits {
	l := inspect.PlateLimits{Lean: s.lean()}
	if plate := s.site.Printer.Plate; plate != nil {
		l.Plate = *plate
	}
	if tallest := s.site.Printer.Tallest; tallest != nil {
		l.Tallest = *tallest
	}
	return l
}
