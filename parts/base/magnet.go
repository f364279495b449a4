package base

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Magnet is one or more blind pockets in the underside, for disc magnets of one size.
type Magnet struct {
	Disc      [2]float64 `key:"disc" type:"size" doc:"the magnet, [diameter, height]" required:"yes" min:"0.5" max:"50" source:"2x1 to 10x2 in use: common practice, no source"`
	At        []r2.Vec   `key:"at" type:"points" plan:"own" doc:"centres from the middle of the footprint, along its own axes; left out: spread evenly"`
	Count     int        `key:"count" type:"count" doc:"how many to spread where at is left out: one in the middle, several on a ring" default:"1" min:"1" max:"24"`
	Clearance float64    `key:"clearance" type:"length" doc:"added to the diameter" from:"clearance" min:"0" max:"0.5" source:"resin 0.1 to 0.2 on diameter: bureau fit tables"`
	Depth     float64    `key:"depth" type:"length" doc:"added to the height, so that the magnet lies just inside the foot" from:"clearance-depth" min:"0" max:"0.5" source:"0.1 to 0.2: common practice, no source"`
	Skin      float64    `key:"skin" type:"length" doc:"least thickness left above the pocket, even under damage" default:"0.8" min:"0.6" max:"5" source:"0.6 to 1.0: common practice, no source"`
}

const (
	// bossWall is the thickness kept round a pocket, in a hollow and under
	// damage, mm: a free-standing wall and a little.
	bossWall = 1.2
	// joinedWall is the least wall between two pockets, and between a pocket and
	// the side of the rim, mm (bureau charts: 0.5 for a wall joined on two sides);
	// more where the printer needs more.
	joinedWall = 0.5
	// mostPockets keeps the check of every pocket against every other short.
	mostPockets = 48
	// ringShare is how far out a ring of magnets lies, of the way to the edge.
	ringShare = 0.6
)

// pocket is one blind hole from the foot.
type pocket struct {
	at     r2.Vec
	radius float64 // mm
	depth  float64 // mm
	skin   float64 // mm, kept over it
	magnet int     // which table it is of
}

// pockets lists the base's pockets.
func (b *Base) pockets(s *parts.Site) []pocket {
	return parts.Settled(s, b, func() (all []pocket) {
		foot := b.Footprints()[0]
		for i := range b.Magnets {
			m := &b.Magnets[i]
			for _, at := range m.centres(foot) {
				all = append(all, pocket{at: at, radius: (m.Disc[0] + m.Clearance) / 2, depth: m.Disc[1] + m.Depth, skin: m.Skin, magnet: i})
			}
		}
		return all
	})
}

// centres are the places given or, without any, spread evenly: one in the
// middle, several on a ring that follows the outline.
func (m *Magnet) centres(f Footprint) []r2.Vec {
	if len(m.At) > 0 {
		return m.At
	}
	if m.Count <= 1 {
		return []r2.Vec{{}}
	}
	outline := f.Outline()
	out := make([]r2.Vec, m.Count)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(m.Count))
		dir := r2.Vec{X: cos, Y: sin}
		t, _ := planar.RayHit(outline, r2.Vec{}, dir, f.Reach()+1)
		out[i] = r2.Scale(t*ringShare, dir)
	}
	return out
}

// magnetFaults reports pockets that do not fit the footprint or the height.
func (b *Base) magnetFaults(s *parts.Site, f Footprint) []parts.Fault {
	joined := math.Max(joinedWall, s.Printer.JoinedWall())
	var faults []parts.Fault
	fault := func(i int, key, text, allowed string) {
		if key != "" {
			key = "." + key
		}
		faults = append(faults, parts.Fault{Part: b.Name, Key: fmt.Sprintf("magnet[%d]%s", i, key), Text: text, Allowed: allowed})
	}
	total := 0
	for i := range b.Magnets {
		m := &b.Magnets[i]
		if len(m.At) > 0 && m.Count > 1 && m.Count != len(m.At) {
			fault(i, "count", fmt.Sprintf("%d magnets, but at has %d places", m.Count, len(m.At)), "count or at, not both")
		}
		if total += max(m.Count, len(m.At)); total > mostPockets {
			fault(i, "", fmt.Sprintf("makes %d pockets", total), fmt.Sprintf("at most %d", mostPockets))
			return faults
		}
		if over := m.Disc[1] + m.Depth + m.Skin - b.Height; over > 1e-9 {
			fault(i, "disc", fmt.Sprintf("a pocket %.2f mm deep under a skin of %.2f mm is %.2f mm more than the rim is high", m.Disc[1]+m.Depth, m.Skin, over),
				fmt.Sprintf("a height of at least %.2f mm, or a thinner magnet", b.Height+over))
		}
	}
	shape := f.Shape()
	pockets := b.pockets(s)
	for i, p := range pockets {
		// The rim is drawn in most where the pocket ends, and by the chamfer at
		// the foot.
		in := math.Max(b.Chamfer, b.Taper*math.Min(1, p.depth/b.Height))
		if room := -shape.At(p.at) - in - joined; p.radius > room {
			fault(p.magnet, "at", fmt.Sprintf("a pocket of diameter %.2f mm at (%.2f, %.2f) leaves less than %g mm to the side of the rim", 2*p.radius, p.at.X, p.at.Y, joined),
				fmt.Sprintf("a place at least %.2f mm from the foot's edge", p.radius+in+joined))
		}
		for _, o := range pockets[:i] {
			if apart := r2.Norm(r2.Sub(p.at, o.at)) - p.radius - o.radius; apart < joined {
				fault(p.magnet, "at", fmt.Sprintf("the pockets at (%.2f, %.2f) and (%.2f, %.2f) leave less than %g mm between them", o.at.X, o.at.Y, p.at.X, p.at.Y, joined),
					fmt.Sprintf("centres at least %.2f mm apart", p.radius+o.radius+joined))
				break
			}
		}
	}
	return faults
}

// kept is the work over and round the pocket that no damage takes.
func (p pocket) kept() sdf.Field { return drum(p.at, p.radius+bossWall, -1, p.depth+p.skin) }

// hole is the pocket itself, open below the foot.
func (p pocket) hole() sdf.Field { return drum(p.at, p.radius, -1, p.depth) }
