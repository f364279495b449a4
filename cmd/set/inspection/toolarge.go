package inspection

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/inspect"
	"socle/parts"
	"socle/parts/assembly"
)

// Lean is how far bases lean that are laid tilted, degrees; 0 where they lie flat.
func Lean(s *set.Set) float64 {
	if s.Site.Inspect.Laid != "tilted" {
		return 0
	}
	return s.Site.Inspect.Tilt
}

// OverPlate holds a piece against the printer by what is known before it is meshed:
// its outline at the foot, and its pads. The solid takes no less.
func OverPlate(s *set.Set, p *assembly.Piece) inspect.PlateFit {
	in := p.Intent(s.Site)
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
	return inspect.Fit(points, plateLimits(s))
}

// TooLarge tells of pieces that the printer cannot hold, as far as that is known before
// they are meshed.
func TooLarge(s *set.Set, pieces []assembly.Piece) (all []finding.Finding) {
	for i := range pieces {
		fit := OverPlate(s, &pieces[i])
		for _, f := range fit.Findings(plateLimits(s), [3]float64{}, [3]float64{}) {
			all = append(all, findingOf(s, &pieces[i], &f, nil))
		}
	}
	return all
}

// RefuseTooLarge gives the error of a set that will not be printed as it is, with the
// place of each base that is too large.
func RefuseTooLarge(s *set.Set) error {
	var faults []parts.Fault
	for i := range s.Pieces {
		p := &s.Pieces[i]
		for _, f := range TooLarge(s, s.Pieces[i:i+1]) {
			if f.Severity != parts.SeverityStop {
				continue
			}
			key, _, _ := strings.Cut(p.Footprint, " ")
			allowed := fmt.Sprintf("at most %g mm, the tallest that the printer prints", f.Limit)
			if plate := s.Site.Printer.Plate; plate != nil && f.Measure == string(inspect.OfPlan) {
				allowed = fmt.Sprintf("a base that fits the plate, %g x %g mm, turned any way", plate[0], plate[1])
			}
			if Lean(s) > 0 {
				allowed += fmt.Sprintf("; it leans by %g degrees ([inspect] tilt)", Lean(s))
			}
			faults = append(faults, parts.Fault{Part: p.Base.Label(), Key: key, Text: fmt.Sprintf("%q is %s", p.Name, f.What), Allowed: allowed + "; --base NAME builds only the others"})
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return s.Unfitting(faults)
}

// plateLimits is what the printer can hold.
func plateLimits(s *set.Set) inspect.PlateLimits {
	l := inspect.PlateLimits{Lean: Lean(s)}
	if plate := s.Site.Printer.Plate; plate != nil {
		l.Plate = *plate
	}
	if tallest := s.Site.Printer.Tallest; tallest != nil {
		l.Tallest = *tallest
	}
	return l
}
