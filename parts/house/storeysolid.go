package house

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// storeySizes are those of a storey by its keys alone, mm on the print.
type storeySizes struct {
	rectangle
	top, thick, low float64 // of the boards, below any finish, and the underside of the joists
	wide, deep      float64 // of a joist
	spacing         float64 // middle to middle
	board           float64 // width
	edge            float64 // along y, about where it is broken off; its end where it is whole
	into            float64 // how far joists are let into walls
	post            float64
	notes           parts.Notes
}

// let is how far a joist is let into a wall, full-size mm. Common practice, no source.
const let = 100

func (f *Storey) sizes(s *parts.Site) *storeySizes {
	return parts.Settled(s, f, func() *storeySizes {
		z := &storeySizes{notes: parts.Notes{Part: f.Name}}
		if len(rectFault(f.Name, &f.Area, 0)) > 0 {
			z.half, z.spacing, z.board = r2.Vec{X: 1, Y: 1}, 1, 1
			return z
		}
		z.rectangle = f.rectangle()
		z.top = parts.StructureUnder(s, f.Level.Height, f.Area.Outline())
		z.thick = z.notes.AtLeast("boards", f.Boards, s.Print.Wall+0.5*s.Print.Relief, "slab under its grain")
		z.wide = z.notes.AtLeast("joist", f.Joist[0], s.Print.Wall, "wall")
		z.deep = math.Max(f.Joist[1], 1.2*z.wide)
		z.spacing = math.Max(f.Spacing, 2*z.wide+s.Print.Gap)
		z.low = z.top - z.thick - z.deep
		boards := math.Max(1, math.Round(2*z.half.X/surface.BoardWidth(s)))
		z.board = 2 * z.half.X / boards
		z.edge = f.edge(&z.rectangle)
		z.into = math.Max(parts.Embed, math.Min(s.OnPrint(let), 0.6*s.Print.Wall))
		z.post = math.Max(f.Post, s.Print.Pin)
		return z
	})
}

// well is an opening on the storey's own axes.
func (f *Storey) well(z *storeySizes, o *parts.Area) (lo, hi r2.Vec) {
	var own []r2.Vec
	for _, q := range o.Outline() {
		own = append(own, planar.OnPlan(z.pose.Invert(planar.Raise(q))))
	}
	b := planar.Bounds(own)
	return b.Min, b.Max
}

// joist is one of a storey: a whole one from side to side, or what is left in the walls of one
// that broke.
type joist struct {
	at    float64    // along y
	held  [2]bool    // by a wall, at either end
	whole bool       // else it broke
	stubs [2]float64 // how far what is left reaches in from the walls
	seed  uint64
}

// storey is one worked out for its site.
type storey struct {
	*storeySizes
	joists []joist
	beams  [2]bool // along the sides, on posts, where no walls hold all joists
	notes  parts.Notes
}

func (f *Storey) settled(s *parts.Site) *storey {
	return parts.Settled(s, f, func() *storey { return f.settle(s) })
}

// settle sets out the joists: whole ones up to the edge, then the ends of those that broke.
func (f *Storey) settle(s *parts.Site) *storey {
	z := &storey{storeySizes: f.sizes(s)}
	z.notes = parts.Notes{Part: f.Name, List: append([]parts.Note(nil), z.storeySizes.notes.List...)}
	if len(rectFault(f.Name, &f.Area, 0)) > 0 {
		return z
	}
	var at []float64
	reach := z.half.Y - z.wide/2
	n := planar.EqualBays(2*reach, z.spacing)
	for i := range n + 1 {
		at = append(at, -reach+2*reach*float64(i)/float64(n))
	}
	for i := range f.Openings { // trimming joists at either side of an opening
		lo, hi := f.well(z.storeySizes, &f.Openings[i].Area)
		at = append(at, lo.Y-z.wide/2, hi.Y+z.wide/2)
	}
	all := walls(s)
	rng := s.Rand(f.Name, f.Seed, "joists")
	for i, y := range at {
		j := joist{at: y, seed: rng.Uint64(), whole: y <= z.edge || i < 2 || i > n}
		for k, side := range [2]float64{-1, 1} {
			q := z.pose.Apply(sdf.V(side*(z.half.X+z.into), y, z.low+z.deep/2))
			j.held[k] = all.Value(q) < 0
			z.beams[k] = z.beams[k] || j.whole && !j.held[k]
			long := z.deep * (0.5 + 1.8*rng.Float64())
			if lost := rng.Float64() < 0.25; !j.whole && j.held[k] && !lost {
				j.stubs[k] = math.Min(long, 0.8*z.half.X)
			}
		}
		z.joists = append(z.joists, j)
	}
	if z.beams[0] || z.beams[1] {
		side := "one side"
		if z.beams[0] && z.beams[1] {
			side = "either side"
		}
		z.notes.Add("area", "no wall holds all joists on %s: a beam on posts does", side)
	}
	return z
}

// last is the last whole joist of the storey, along y.
func (z *storey) last() float64 {
	last := math.Inf(-1)
	for _, j := range z.joists {
		if j.whole {
			last = math.Max(last, j.at)
		}
	}
	return last
}

// Solid is boards, joists and what carries them.
func (f *Storey) Solid(s *parts.Site) sdf.Field {
	z := f.settled(s)
	return sdf.Union(f.floor(s, z), sdf.Union(f.timbers(s, z)...), sdf.Union(f.props(s, z)...))
}

// floor is the boards, less the openings.
func (f *Storey) floor(s *parts.Site, z *storey) sdf.Field {
	const over = 0.25 // into the walls at its sides
	rng := s.Rand(f.Name, f.Seed, "boards")
	seam := math.Min(s.Print.Relief, 0.4*z.thick)
	grooves := relief.NewGrooves(rng.Uint64(), z.board, 1.7*s.Print.Gap, seam, 0.9, 0).At(-z.half.X)
	n := int(math.Round(2 * z.half.X / z.board))
	last := z.last()
	var all []sdf.Field
	for k := range n {
		left := -z.half.X + float64(k)*z.board
		end, splinters := z.half.Y+over, fracture.Splinters(rng, left, z.board)
		u, v, texture := rng.Float64(), rng.Float64(), rng.Uint64()
		outline := []r2.Vec{{X: left - 0.02, Y: -z.half.Y - over}, {X: left + z.board + 0.02, Y: -z.half.Y - over}}
		if f.Ruin > 0 {
			// Past the last joist by up to a board and a half, or back to one before it.
			end = last + z.wide/2 + 1.5*z.board*u
			if v < 0.35 {
				end = math.Max(last-z.spacing*(0.3+u), -z.half.Y+2*z.board)
			}
			end = math.Min(end, z.half.Y-z.board/2)
			for i := len(splinters) - 1; i >= 0; i-- {
				outline = append(outline, r2.Vec{X: splinters[i].X, Y: end - 0.7*splinters[i].Y - 0.7*z.board})
			}
		} else {
			outline = append(outline, r2.Vec{X: left + z.board + 0.02, Y: end}, r2.Vec{X: left - 0.02, Y: end})
		}
		sunk := 0.35 * seam * v
		board := sdf.Prism(outline, z.top-z.thick, z.top-sunk)
		face := surface.Piece{Seed: texture, Half: r2.Vec{X: z.half.Y, Y: z.board / 2}, Depth: s.Grain(), Most: 0.3 * z.thick}.Face(s, surface.Boards)
		board = surface.CutTop(board, z.top-sunk, surface.Laid(face, 90, sdf.V(left+z.board/2, 0, 0)))
		all = append(all, board)
	}
	slab := surface.CutTop(sdf.Union(all...), z.top, grooves)
	slab = sdf.Place(slab, z.pose)
	return sdf.Difference(parts.LowerUnderFinishes(s, slab, f.Level.Height), f.wells(z, z.top-z.thick-1, z.top+1, 0)...)
}

// wells are the openings between two heights, larger all round.
func (f *Storey) wells(z *storey, low, high, grow float64) (all []sdf.Field) {
	for i := range f.Openings {
		lo, hi := f.well(z.storeySizes, &f.Openings[i].Area)
		all = append(all, z.box(sdf.V(lo.X-grow, lo.Y-grow, low), sdf.V(hi.X+grow, hi.Y+grow, high)))
	}
	return all
}

// timbers are the joists with those that trim the openings.
func (f *Storey) timbers(s *parts.Site, z *storey) (all []sdf.Field) {
	top := z.top - z.thick + 0.15 // into the boards
	var joists []sdf.Field
	for _, j := range z.joists {
		from, to := -z.half.X, z.half.X
		if j.held[0] {
			from -= z.into
		}
		if j.held[1] {
			to += z.into
		}
		lo, hi := sdf.V(from, j.at-z.wide/2, z.low), sdf.V(to, j.at+z.wide/2, top)
		if j.whole {
			joists = append(joists, sawn(s, z.pose, lo, hi, j.seed))
			continue
		}
		if j.stubs[0] > 0 {
			joists = append(joists, snapped(z.pose, lo, sdf.V(-z.half.X+j.stubs[0], hi.Y, z.low+z.deep), j.seed, 1))
		}
		if j.stubs[1] > 0 {
			joists = append(joists, snapped(z.pose, sdf.V(z.half.X-j.stubs[1], lo.Y, lo.Z), sdf.V(hi.X, hi.Y, z.low+z.deep), j.seed+1, -1))
		}
	}
	all = append(all, sdf.Difference(sdf.Union(joists...), f.wells(z, z.low-1, top+1, 0)...))
	for i := range f.Openings {
		lo, hi := f.well(z.storeySizes, &f.Openings[i].Area)
		for _, x := range [2]float64{lo.X - z.wide/2, hi.X + z.wide/2} {
			if math.Abs(x) < z.half.X-z.wide/2 {
				all = append(all, z.box(sdf.V(x-z.wide/2, lo.Y-z.wide/2, z.low), sdf.V(x+z.wide/2, hi.Y+z.wide/2, top)))
			}
		}
	}
	return all
}

// props are the beams on posts along the sides that no walls hold.
func (f *Storey) props(s *parts.Site, z *storey) (all []sdf.Field) {
	end := math.Min(z.half.Y, z.last()+z.wide/2)
	side := math.Max(z.post, z.wide)
	for k, way := range [2]float64{-1, 1} {
		if !z.beams[k] {
			continue
		}
		a, b := r2.Vec{X: way * (z.half.X - side/2), Y: -z.half.Y}, r2.Vec{X: way * (z.half.X - side/2), Y: end}
		all = append(all, z.box(sdf.V(a.X-side/2, a.Y, z.low-0.8*side), sdf.V(a.X+side/2, b.Y, z.low+0.2)))
		posts, _ := z.posts(s, a, b, side, postSpacing*side, z.low-0.6*side)
		all = append(all, posts...)
	}
	return all
}

// postSpacing is how far apart posts stand at most, in their sides. Common practice, no source.
const postSpacing = 14

// Bitten is what bites leave of it: boards splintered, joists broken off.
func (f *Storey) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := f.settled(s)
	boards := fracture.Boards{Frame: z.pose, Width: z.board,
		Box: r3.Box{Min: sdf.V(-z.half.X-0.3, -z.half.Y-0.3, z.top-z.thick-0.05), Max: sdf.V(z.half.X+0.3, z.half.Y+0.3, f.Level.Height+1)}}
	rough := make([]sdf.Field, len(bites)) // of beams and posts, which stand under what broke
	for i := range bites {
		rough[i] = bites[i].Rough
	}
	through := fracture.Upright(bites, z.top)
	return []parts.Remains{
		{Work: sdf.Union(f.props(s, z)...), Taken: rough},
		{Work: f.floor(s, z), Taken: fracture.Split(boards.Taken(through), bites)},
		{Work: sdf.Union(f.timbers(s, z)...), Taken: z.joistsGone(through)},
	}
}

// joistsGone is what each bite takes of the joists: of each all between the two places where it
// broke, and an end that is too short to be held.
func (z *storey) joistsGone(bites []parts.Bite) []sdf.Field {
	taken := make([][]sdf.Field, len(bites))
	for k := range bites {
		for i := range z.joists {
			j := &z.joists[i]
			from, to := math.Inf(1), math.Inf(-1)
			const looks = 300
			for n := range looks + 1 {
				x := z.half.X * (2*float64(n)/looks - 1)
				if bites[k].Gone.Value(z.pose.Apply(sdf.V(x, j.at, z.low+z.deep/2))) < 0 {
					from, to = math.Min(from, x), math.Max(to, x)
				}
			}
			if from > to {
				continue
			}
			rng := rand.New(rand.NewPCG(bites[k].Seed^j.seed, 7))
			past := z.half.X + z.into + 1
			if from < -z.half.X+z.deep {
				from = -past
			}
			if to > z.half.X-z.deep {
				to = past
			}
			lean := func() float64 { return 0.6 * (2*rng.Float64() - 1) }
			left, right := convex.Unit(sdf.V(-1, lean(), lean())), convex.Unit(sdf.V(1, lean(), lean()))
			mid := sdf.V(0, j.at, z.low+z.deep/2)
			const wide = 0.05 // past its faces
			p := convex.New([]convex.Plane{
				{N: left, D: r3.Dot(left, r3.Add(mid, sdf.V(from, 0, 0)))}, {N: right, D: r3.Dot(right, r3.Add(mid, sdf.V(to, 0, 0)))},
				{N: sdf.V(0, 1, 0), D: j.at + z.wide/2 + wide}, {N: sdf.V(0, -1, 0), D: -(j.at - z.wide/2 - wide)},
				{N: sdf.V(0, 0, 1), D: z.top}, {N: sdf.V(0, 0, -1), D: -z.low + wide},
			})
			if p != nil {
				taken[k] = append(taken[k], sdf.Place(p, z.pose))
			}
		}
	}
	return fracture.Unions(taken)
}

// Carriers are the sides that its joists lie on.
func (f *Storey) Carriers(s *parts.Site) (under float64, carriers []parts.Extent) {
	z := f.sizes(s)
	for _, side := range [2]float64{-1, 1} {
		x := side * z.half.X
		carriers = append(carriers, parts.Extent{Key: "area", Wide: math.Max(z.post, z.into),
			Points: []r2.Vec{planar.OnPlan(z.pose.Apply(sdf.V(x, -z.half.Y, 0))), planar.OnPlan(z.pose.Apply(sdf.V(x, z.edge, 0)))}})
	}
	return z.low, carriers
}

// Plan is what stays of it, its openings, and its joists below it.
func (f *Storey) Plan(s *parts.Site) []parts.Stroke {
	z := f.settled(s)
	rank := s.FloorRank(f.Level.Height, parts.Structure)
	strokes := []parts.Stroke{{Line: parts.LineEdge, Path: f.floorArea().Path(), Closed: true, Covers: true, Rank: rank}}
	for i := range f.Openings {
		strokes = append(strokes, parts.Stroke{Line: parts.LineStep, Path: f.Openings[i].Area.Path(), Closed: true, Rank: rank})
	}
	for _, j := range z.joists {
		if j.whole {
			strokes = append(strokes, parts.Stroke{Line: parts.LineHidden, Closed: true,
				Path: planar.Straight(z.plan(r2.Vec{X: -z.half.X, Y: j.at - z.wide/2}, r2.Vec{X: z.half.X, Y: j.at + z.wide/2})...)})
		}
	}
	return strokes
}

// Sights is its broken edge, or the middle of a whole one.
func (f *Storey) Sights(l parts.Lookout) []parts.Sight {
	z := f.settled(l.Site())
	for _, x := range []float64{0, -0.5, 0.5} {
		at := z.pose.Apply(sdf.V(x*z.half.X, math.Min(z.edge, 0.5*z.half.Y)-2*z.board, z.top))
		if sight, ok := parts.SightOf(l, f, at, z.thick+z.deep, math.Max(0.8*z.half.X, l.Person()/2), z.board); ok {
			return []parts.Sight{sight}
		}
	}
	return nil
}
