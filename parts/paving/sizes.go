package paving

import (
	"math"

	"socle/parts"
	"socle/parts/surface"
)

// pavingSizes are a paving's sizes as drawn, mm on the print, and its notes.
type pavingSizes struct {
	bond      *bond
	module    module
	joint     float64
	recess    float64
	thickness float64
	least     float64 // least width of a cut stone
	relief    float64 // least relief of the print
	surface   string  // a word of package surface
	wear      wear
	notes     []parts.Note
}

func (p *Paving) settled(s *parts.Site) *pavingSizes {
	return parts.Settled(s, p, func() *pavingSizes { return p.settle(s) })
}

// settle works out the sizes that the printer can hold, with a note for each that is
// not as the scene gives it.
func (p *Paving) settle(s *parts.Site) *pavingSizes {
	z := &pavingSizes{bond: bondOf(p.Bond)}
	notes := parts.Notes{Part: p.Name}
	given := func(v *float64, usual float64) float64 {
		if v != nil {
			return *v
		}
		return usual
	}

	const usualJoint, usualThickness = 10, 50 // full-size mm
	joint := given(p.Joint, s.OnPrint(usualJoint))
	z.joint = max(joint, s.Print.Gap)
	if joint < s.Print.Gap {
		notes.Add("joint", "joints of %.3f mm on the print are drawn at %.2f mm, the least gap", joint, z.joint)
	}

	stone := module{s.OnPrint(z.bond.stone[0]), s.OnPrint(z.bond.stone[1])}
	if p.Stone != nil {
		stone = module{max(p.Stone[0], p.Stone[1]), min(p.Stone[0], p.Stone[1])}
	}
	z.module = z.bond.fit(stone)
	if p.Stone != nil && math.Abs(z.module.long-stone.long) > 0.01*stone.long {
		notes.Add("stone", "%s bond cannot be laid with %.2f x %.2f mm: drawn at %.2f x %.2f mm", p.Bond, stone.long, stone.short, z.module.long, z.module.short)
	}
	// A stone shows where it is at least twice as wide as the joint beside it.
	if small := z.module.short * z.bond.smallest; small < 3*z.joint {
		k := 3 * z.joint / small
		notes.Add("stone", "stones of %.2f x %.2f mm on the print would be lost between the joints: drawn %.2f times as large", z.module.long, z.module.short, k)
		z.module = module{k * z.module.long, k * z.module.short}
	}
	small := z.module.short * z.bond.smallest

	// Large stones and worn ones need deeper joints to read (common practice, no source).
	z.recess = max(given(p.Recess, max(z.joint, 0.06*small, s.Print.Relief*(1+0.5*p.Wear))), s.Print.Relief)
	if p.Recess != nil && *p.Recess < s.Print.Relief {
		notes.Add("recess", "joints %.2f mm deep are drawn %.2f mm deep, the least relief", *p.Recess, z.recess)
	}
	const bed = 0.2 // mm of bed under the joints at least
	z.thickness = given(p.Thickness, s.OnPrint(usualThickness))
	if z.thickness < z.recess+bed {
		if p.Thickness != nil {
			notes.Add("thickness", "%.2f mm is drawn at %.2f mm, to hold joints %.2f mm deep", z.thickness, z.recess+bed, z.recess)
		}
		z.thickness = z.recess + bed
	}
	// Masons do not lay cuts under a quarter of a stone (common practice, no
	// source), nor can a print hold them.
	z.least = max(small/4, 1.5*z.joint)

	z.relief, z.surface = s.Print.Relief, p.dressing(s, z)
	w := p.Wear
	crown, grain := 0.25*w*z.recess, s.Grain()*(1.2+w)
	if z.surface == surface.Domed {
		crown = min((0.35+0.45*w)*z.recess, 0.3*small)
	}
	if z.surface == surface.Plain {
		grain = 0
	}
	z.wear = wear{
		arris:   given(p.Arris, min(0.25*z.joint+0.15*w*small, 1.5*z.recess)),
		uneven:  given(p.Uneven, 0.5*w*z.recess),
		tilt:    given(p.Tilt, 4*w),
		crown:   given(p.Crown, crown),
		grain:   given(p.Grain, grain),
		chipped: given(p.Chipped, w),
		cracked: given(p.Cracked, 0.2*w*w),
		missing: given(p.Missing, 0.1*w*w),
	}
	z.notes = notes.List
	return z
}

const (
	// smallStone is the full-size width, mm, up to which a stone is a sett or a block and
	// not a flag.
	smallStone = 250
	// smallDrawn is the width up to which a stone is drawn as one, least gaps of the
	// print: on a narrower stone the lines of a chisel would hide the joints.
	smallDrawn = 9
)

// dressing is the surface of the stones: the scene's, else domed setts, and flags that
// are tooled until they are worn smooth.
func (p *Paving) dressing(s *parts.Site, z *pavingSizes) string {
	short := z.bond.stone[1]
	if p.Stone != nil {
		short = s.FullSize(min(p.Stone[0], p.Stone[1]))
	}
	switch {
	case p.Surface != nil:
		return *p.Surface
	case short <= smallStone || z.module.short*z.bond.smallest < smallDrawn*s.Print.Gap:
		return surface.Domed
	case p.Wear < 0.6:
		return surface.Tooled
	}
	return surface.Rubbed
}
