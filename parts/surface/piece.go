package surface

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// The words for what a face is like.
const (
	Plain     = "plain" // as the sizes leave it
	Rubbed    = "rubbed"
	Tooled    = "tooled"
	RockFaced = "rock-faced"
	Domed     = "domed"
	Brick     = "brick"
	Concrete  = "concrete"
	Render    = "render"
	Boards    = "boards"
	Plate     = "plate"
)

// Piece is one stone, brick, board or plate. In its own frame the middle of its face is
// the origin, x runs along it, and the face looks along z.
type Piece struct {
	Seed    uint64
	Half    r2.Vec        // half its length and width, mm
	Depth   float64       // of the texture, mm; at least Grain is drawn
	Worn    float64       // 0 fresh .. 1 walked smooth
	Most    float64       // that the texture may take off, mm; 0: no limit
	Outline relief.Region // of its face; nil where no margin is wanted
}

// Face is the texture of a piece by a word; nil for none.
func (p Piece) Face(s *parts.Site, word string) relief.Relief {
	d := math.Max(p.Depth*(1-0.5*p.Worn), s.Grain())
	h := p.face(s, word, d)
	if h != nil && p.Most > 0 && h.Depth() > p.Most {
		h = p.face(s, word, d*p.Most/h.Depth())
	}
	return h
}

// face is that of a depth: what it takes off in all is in proportion to it.
func (p Piece) face(s *parts.Site, word string, d float64) relief.Relief {
	switch word {
	case Rubbed:
		return p.rubbed(s, d)
	case Tooled:
		return p.tooled(s, d)
	case RockFaced:
		return relief.NewFacets(p.Seed, coarse(s), 2.4*d, 0.12)
	case Domed:
		return relief.NewFacets(p.Seed, fine(s), d, 0.4+0.4*p.Worn)
	case Brick:
		return relief.Sum(relief.NewFacets(p.Seed, fine(s), d, 0.45), pits(p.Seed+1, s, 0.8*d, 0.12))
	case Concrete:
		return relief.Sum(relief.NewFacets(p.Seed, 1.1*coarse(s), 1.2*d, 0.3), pits(p.Seed+1, s, d, 0.2))
	case Boards:
		return relief.Sum(relief.Deepest(grain(p.Seed, s, d), p.nails(s, d)), pits(p.Seed+2, s, d, 0.04))
	case Plate:
		if p.Seed%3 != 0 {
			return p.pattern(s, 1.5*d)
		}
		return relief.Sum(p.pattern(s, 1.5*d), relief.NewFacets(p.Seed, 3*coarse(s), d, 0.5)) // dented
	}
	return nil
}

// True is the texture of a piece that must lie true: shallow, and a good part of it is at
// the level of the piece.
func (p Piece) True(s *parts.Site, word string) relief.Relief {
	d := 1.2 * s.Grain()
	h := p.lying(s, word, d)
	if h != nil && p.Most > 0 && h.Depth() > p.Most {
		h = p.lying(s, word, d*p.Most/h.Depth())
	}
	return h
}

// lying is that of a depth: what it takes off in all is in proportion to it.
func (p Piece) lying(s *parts.Site, word string, d float64) relief.Relief {
	const small, large = 1.6, 2.0                                  // mm, of half a stone: so wide a one without lines reads as flat
	smooth := p.Seed%5 < 2 && math.Min(p.Half.X, p.Half.Y) < large // walked so
	switch word {
	case Plain:
		return nil
	case Plate:
		return p.pattern(s, d)
	case Boards:
		return grain(p.Seed, s, d)
	case Domed, Brick, Concrete:
		smooth = true
	}
	worn := relief.Deepest(relief.NewFacets(p.Seed, 0.9*fine(s), 1.25*d, 0.3), pits(p.Seed+2, s, 1.25*d, 0.25))
	switch margin := p.margin(s); {
	case margin > 0 && smooth:
		return relief.Within(worn, p.Outline, margin, 0.4)
	case margin == 0 && p.Half.Y > 0 && math.Min(p.Half.X, p.Half.Y) < small: // its joints are texture enough
		return worn
	}
	return p.lines(s, d)
}

// margin is the width of the drafted margin of a piece, mm; 0 where it has no room for one.
func (p Piece) margin(s *parts.Site) float64 {
	if m := 1.2 * p.line(s); p.Outline != nil && math.Min(p.Half.X, p.Half.Y) > 2.5*m {
		return m
	}
	return 0
}

// line is the width of one line of a chisel, mm: about 25 mm in life, no wider than leaves
// several on a piece, and no narrower than the print's gap.
func (p Piece) line(s *parts.Site) float64 {
	w := math.Min(s.OnPrint(25), 1.5)
	if half := math.Min(p.Half.X, p.Half.Y); half > 0 {
		w = math.Min(w, half/4)
	}
	return math.Max(1.3*s.Print.Gap, w)
}

// fine and coarse are the pitches of grain, mm: as large as the marks of a hammer in
// life, about 60 and 90 mm, and no smaller than takes a wash of paint. Common practice,
// no source.
func fine(s *parts.Site) float64   { return math.Max(0.8, math.Min(1.6, s.OnPrint(60))) }
func coarse(s *parts.Site) float64 { return math.Max(1.2, math.Min(2.4, s.OnPrint(90))) }

// pits are small sharp hollows: of a share of the places, about a pitch apart.
func pits(seed uint64, s *parts.Site, depth, share float64) relief.Relief {
	return relief.Inverse(relief.NewStones(seed, math.Max(1.1, 3*s.Print.Gap), depth, share))
}

// turned is a relief turned in its plane, degrees.
func turned(h relief.Relief, degrees float64) relief.Relief {
	return relief.Place(h, sdf.Turn(sdf.V(0, 0, 1), degrees))
}

// rubbed is a face worn smooth: facets, pits that weather has left, and low wider hollows
// beneath them. Facets of less than 0.2 mm at this pitch read as flat (the window of the
// check bare).
func (p Piece) rubbed(s *parts.Site, d float64) relief.Relief {
	return relief.Sum(
		relief.Deepest(relief.NewFacets(p.Seed, fine(s), 2.4*d, 0.1+0.2*p.Worn), pits(p.Seed+2, s, 2.4*d, 0.2)),
		relief.NewFacets(p.Seed+1, 3*fine(s), 0.4*d, 0.2))
}

// tooled is the lines of a chisel on a face that is not quite flat.
func (p Piece) tooled(s *parts.Site, d float64) relief.Relief {
	return relief.Sum(p.lines(s, d), relief.NewFacets(p.Seed+2, 2.2*fine(s), 0.8*d, 0.4))
}

// lines are those of a chisel between drafted margins, worn away in patches.
func (p Piece) lines(s *parts.Site, d float64) relief.Relief {
	width := p.line(s)
	turn := [...]float64{0, 90, 90, 45, -45}[p.Seed%5] + float64(p.Seed>>8%13) - 6
	cut := turned(relief.NewGrooves(p.Seed, 2.1*width, width, d, 0.55, 0.15*width).Flat(0.35), turn)
	worn := relief.Shallowest(cut, relief.NewFacets(p.Seed+1, 2.2*fine(s), 3*d, 0.15+0.3*p.Worn))
	if margin := p.margin(s); margin > 0 {
		worn = relief.Within(worn, p.Outline, margin, 2*d/width)
	}
	return worn
}

// grain is the lines of wood along x, that come and go.
func grain(seed uint64, s *parts.Site, d float64) relief.Relief {
	width := 1.2 * s.Print.Gap
	lines := turned(relief.NewGrooves(seed, 2*width, width, 1.2*d, 0.2, 0.4*width), 90)
	return relief.Shallowest(lines, relief.NewFacets(seed+1, 2.2*fine(s), 2.8*d, 0.1))
}

// nails are the sunk heads of two at each end of a board and in its middle; nil where it is
// too small for them.
func (p Piece) nails(s *parts.Site, d float64) relief.Relief {
	gap := s.Print.Gap
	if p.Half.X < 5*gap || p.Half.Y < 2*gap {
		return nil
	}
	heads := relief.NewStuds(p.Half.X-2.2*gap, p.Half.Y, 0.8*gap, 0.8*gap, 0.3*gap, d, false)
	return relief.Place(relief.Inverse(heads), sdf.At(sdf.V(0, p.Half.Y/2, 0)))
}

// pattern is that of a cast plate: raised short bars in a basket, within a row of rivets
// along each edge, within a raised rim. A small plate has no rivets.
func (p Piece) pattern(s *parts.Site, d float64) relief.Relief {
	bar := math.Max(1.6*s.Print.Gap, math.Min(s.OnPrint(30), 1.2*p.line(s))) // wide
	flank := 0.3 * bar
	bars := relief.Relief(relief.NewStuds(3*bar, 3*bar, 2.4*bar, 0.8*bar, flank, d, true))
	if p.Outline == nil {
		return bars
	}
	rim, row, rate := 0.9*bar, 1.8*bar, d/flank
	at := r2.Vec{X: p.Half.X - rim - row/2, Y: p.Half.Y - rim - row/2}
	if math.Min(at.X, at.Y) < 2.5*bar {
		return relief.Within(bars, p.Outline, rim, rate)
	}
	rivets := relief.NewStuds(at.X/math.Max(1, math.Round(at.X/(2.6*bar))), at.Y, 0.9*bar, 0.9*bar, flank, d, false)
	return relief.Deepest(
		relief.Within(bars, p.Outline, rim+row-flank, rate),
		relief.Within(relief.Within(rivets, p.Outline, rim, rate), &outside{p.Outline}, -rim-row-flank, rate))
}

// outside is the plan beyond a region.
type outside struct{ region relief.Region }

func (o *outside) At(p r2.Vec) float64 { return -o.region.At(p) }

func (o *outside) Slope(p r2.Vec) (float64, r2.Vec) {
	d, g := o.region.Slope(p)
	return -d, r2.Scale(-1, g)
}
