// Package inspection holds a meshed piece against the printer and against what its parts
// meant, and puts what it finds down to a part of the scene, in words. It also says what is
// too large for the printer before anything is meshed.
package inspection

import (
	"context"
	"fmt"
	"math"
	"slices"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/inspect"
	"socle/out/inspect/raster"
	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/base"
	"socle/sdf/mesh"
)

// Inspection is what one base was found to be like.
type Inspection struct {
	Findings []finding.Finding
	Necks    []looseBit
	Estimate inspect.Estimate
	Measured Measured
	Mended   []finding.Finding // necks that were made stout or cut: told among the findings
}

// Finish gives an inspection its last form: what was done about necks is told, and what
// has a place is numbered.
func (i *Inspection) Finish(mended []finding.Finding) {
	if len(mended) > 0 {
		i.Mended = mended
		i.Findings = finding.Join(slices.Concat(mended, i.Findings))
	}
	finding.NumberPlaces(i.Findings)
}

// looseBit is a bit that hangs by too little, and what is told of it.
type looseBit struct {
	assembly.Neck
	Finding finding.Finding
}

// The rules of an inspection that the scene does not set. They are common
// practice, no source, where a line does not name one.
const (
	// rasterMemory is what the rasters of one base may take, bytes.
	rasterMemory = 3 << 30
	// leastBit is the smallest bit on a neck that is told, mm3: less is a grain of
	// sand, and is felt by nobody.
	leastBit = 0.02
	// resinClearance and filamentClearance are the least that a magnet's pocket
	// has to be wider than the magnet, and depthClearance deeper, mm: the lower ends
	// of 0.1 to 0.2, 0.2 to 0.4 and 0.1 to 0.2 (bureau fit tables; the depth is
	// common practice).
	resinClearance, filamentClearance, depthClearance = 0.1, 0.2, 0.1
	// unevenRisers is the most that risers may differ, full-size mm: IRC
	// R311.7.5.1, 3/8 in. It is never less than a layer of the print.
	unevenRisers = 9.525
	// singleVent is the least vent that may be the only one of a room, mm: two
	// holes if under 3 (bureau design guide).
	singleVent = 3.0
	// mostBare is the share of a top that may be dead flat without being told.
	mostBare = 0.1
	// marksAcross is how many pixels of the raster a nozzle is.
	marksAcross = 4
)

// jobOf sets out what a piece of a scene is held against, that is meshed so finely.
func jobOf(s *set.Set, p *assembly.Piece, o mesh.Options) inspect.Job {
	site := s.Site
	printer, rules := &site.Printer, &site.Inspect
	in := p.Intent(site)
	job := inspect.Job{
		Grid:   raster.Grid{Pixel: printer.Across().Size, Layer: printer.Up().Size, Limit: rasterMemory},
		Tilted: rules.Laid == "tilted", Printer: plateLimits(s),
		Least: inspect.Least{
			WallJoined: printer.JoinedWall(), WallFree: printer.Wall, Pin: printer.Pin, Gap: printer.Gap, Slender: rules.Slender,
			Round: 2 * facetSag(o, printer.Pin),
		},
		Hair: printer.LeastPin(), Neck: printer.LeastPin(), Bit: leastBit,
		Relief:   site.Print.Relief,
		Overhang: rules.Overhang, Bridge: rules.Bridge, Island: rules.Island, Void: rules.Void,
		Vent:    inspect.VentLimits{Least: printer.Vent, Single: math.Max(printer.Vent, singleVent)},
		Chamfer: float64(printer.FirstLayers) * printer.Up().Size,
		Riser:   math.Max(site.HeightOnPrint(unevenRisers), printer.Up().Size),
		Foot:    in.Foot,
		Top:     TopOf(in),
	}
	clearance := [2]float64{resinClearance, depthClearance}
	if printer.Extrudes() {
		job.Vent = inspect.VentLimits{} // filament drains from nothing
		job.Grid.Pixel /= marksAcross
		clearance[0] = filamentClearance
	}
	// A printer that is known to need less may have less.
	clearance[0], clearance[1] = math.Min(clearance[0], printer.Clearance), math.Min(clearance[1], printer.ClearanceDepth)
	for _, k := range in.Pockets {
		job.Pockets = append(job.Pockets, inspect.Pocket{At: k.At, Magnet: k.Disc, Clearance: clearance, Skin: k.Skin})
	}
	for _, k := range in.Pads {
		pad := inspect.Pad{At: k.At, Round: k.Round, Top: k.Top, Clear: k.Clear, Joint: k.Joint}
		for _, r := range k.Rim {
			pad.Rim = append(pad.Rim, inspect.RimPlace(r))
		}
		job.Pads = append(job.Pads, pad)
	}
	return job
}

// TopOf is the top of a base, as it is looked at for dead surfaces.
func TopOf(in base.Intent) inspect.Top {
	top := inspect.Top{Outline: in.Outline, Taper: in.Taper, Most: mostBare}
	for _, k := range in.Pads {
		if k.Joint == 0 {
			top.Smooth = append(top.Smooth, inspect.Disc{At: k.At, Round: k.Round})
		}
	}
	return top
}

// facetSag is how far a facet lies inside a bar of a diameter, mm: by the tolerance,
// and by the sagitta of a facet half a cell wide, since cells are bent once on what
// is round.
func facetSag(o mesh.Options, diameter float64) float64 {
	return math.Max(o.Tolerance, 0) + o.Cell*o.Cell/(16*diameter)
}

// Inspect looks a solid over, meshed so finely, and puts what it finds into words.
func Inspect(ctx context.Context, s *set.Set, p *assembly.Piece, solid *mesh.Solid, o mesh.Options) (*Inspection, error) {
	job := jobOf(s, p, o)
	flights := s.Place.Treads(*p)
	for _, f := range flights {
		job.Flights = append(job.Flights, flightOf(f))
	}
	i, err := inspectAs(ctx, s, p, solid, job, flights)
	if err == nil {
		i.Findings = finding.Join(i.Findings)
	}
	return i, err
}

// inspectAs is Inspect with a job of its own, and every finding told singly.
func inspectAs(ctx context.Context, s *set.Set, p *assembly.Piece, solid *mesh.Solid, job inspect.Job, flights []assembly.ShownFlight) (*Inspection, error) {
	found, err := inspect.Inspect(ctx, solid.Vertices, solid.Triangles, job)
	if err != nil {
		return nil, fmt.Errorf("inspection: %w", err)
	}
	i := &Inspection{Measured: measuredOf(found, flights), Estimate: estimate(s, solid)}
	for _, f := range found.Findings {
		c := findingOf(s, p, &f, flights)
		i.Findings = append(i.Findings, c)
		if f.Kind == inspect.Neck {
			neck := assembly.Neck{From: finding.Vec(f.From), To: finding.Vec(f.To), At: finding.Vec(f.At), Width: f.Value, Ways: f.Ways}
			i.Necks = append(i.Necks, looseBit{neck, c})
		}
	}
	i.Findings = append(i.Findings, crumbFindings(s, p, solid)...)
	return i, nil
}

// flightOf is a flight as the inspection takes it: floors and all treads, those
// that cannot be measured without points.
func flightOf(f assembly.ShownFlight) (all inspect.Flight) {
	for _, t := range f.Treads {
		all.Treads = append(all.Treads, inspect.Tread{Height: t.Height, Points: t.At, Over: t.Over})
	}
	return all
}

// findingOf puts one finding into words and down to a part of the scene.
func findingOf(s *set.Set, p *assembly.Piece, f *inspect.Finding, flights []assembly.ShownFlight) finding.Finding {
	at, size := f.At, f.Size
	c := finding.Finding{
		Check: f.Kind.Check(), Base: p.Name, What: f.Measured(), Meaning: f.Meaning(s.Site.Printer.Extrudes()),
		Measure: string(f.Measure), Value: f.Value, Limit: f.Limit, At: &at, Size: &size,
	}
	over := timesOver(s, f)
	grade(s, &c, over)
	var part parts.Part = p.Base
	switch f.Kind {
	case inspect.UnevenRisers:
		part = flights[f.Which].Stair
	case inspect.TightPocket, inspect.ThinSkin, inspect.UnevenStand, inspect.BlockedStand, inspect.RaisedStand, inspect.RoughStand, inspect.FootEdge,
		inspect.UnevenFoot, inspect.Bow, inspect.OverPlate, inspect.NarrowVent, inspect.NoVent, inspect.Suction:
	case inspect.SunkStand: // what it is cut into, not the cut
		if held := s.Place.Holding(*p, finding.Vec(at)); held != nil {
			part = held
		}
	default:
		if nearest := s.Place.Nearest(*p, finding.Vec(at)); nearest != nil {
			part = nearest
		}
	}
	if f.Kind == inspect.ThinWall && over < 1 {
		c.Meaning = "a sliver, smaller than a part of the scene: it may be lost, but nothing else"
	}
	if besideStand(f, part) {
		c.Severity = parts.SeverityNote
		c.Meaning = "what lies beside the stand ends at its rim: damage or a spill put it there, or the stand is a plinth"
	}
	c.Part = s.Site.Told(part)
	if f.Kind == inspect.Neck && f.Ways > 1 && s.Site.Inspect.Neck == "cut" {
		c.Meaning += "; it is held in several places, and one cut would not free it"
	}
	if f.Kind == inspect.Neck && s.Site.Inspect.Neck == "stop" {
		c.Severity = parts.SeverityStop
	}
	return c
}

// besideStand says whether a finding on a stand's rim comes from what happened beside
// it, and not from a stand at the wrong level.
func besideStand(f *inspect.Finding, part parts.Part) bool {
	switch f.Kind {
	case inspect.RaisedStand:
		return f.Meant
	case inspect.SunkStand:
		_, spill := part.(parts.Spiller)
		_, damage := part.(parts.Damager)
		return spill || damage
	}
	return false
}

// crumbFindings tells of loose pieces and of voids, as the mesher found them. What is
// smaller than a mark of the printer every way is dust, and only in the document.
func crumbFindings(s *set.Set, p *assembly.Piece, solid *mesh.Solid) (all []finding.Finding) {
	dust := s.Site.Printer.Across().Size
	for _, k := range solid.Crumbs {
		if math.Max(k.Size.X, math.Max(k.Size.Y, k.Size.Z)) < dust {
			continue
		}
		at, size := finding.Triple(k.At), finding.Triple(k.Size)
		f := finding.Finding{Check: "crumb", Base: p.Name, At: &at, Size: &size, Value: math.Abs(k.Volume)}
		if k.Volume < 0 {
			f.Check = "filled-void"
		}
		long := slices.Max(size[:])
		grade(s, &f, timesPart(s, long))
		part := s.Place.Nearest(*p, k.At)
		if part != nil {
			f.Part = s.Site.Told(part)
		}
		f.What, f.Meaning = crumbWords(s, &k, fmt.Sprintf("%.2f x %.2f x %.2f mm", size[0], size[1], size[2]))
		f.Settled = long < s.Site.Inspect.Piece && k.Volume < 0
		switch limit := s.Site.Inspect.Lost; {
		case k.Volume > 0 && s.Site.Inspect.Crumbs == "stop":
			f.Severity, f.Meaning = parts.SeverityStop, "nothing holds it, and the scene says to stop for that"
		case limit != nil && long >= *limit && !k.Kept:
			f.Severity, f.Meaning = parts.SeverityStop, f.Meaning+fmt.Sprintf("; the scene says to stop for that from %g mm on", *limit)
		}
		all = append(all, f)
	}
	return all
}

// crumbWords says what a crumb is, of so many mm, and what was done with it.
func crumbWords(s *set.Set, k *mesh.Crumb, sides string) (what, meaning string) {
	small := slices.Max([]float64{k.Size.X, k.Size.Y, k.Size.Z}) < s.Site.Inspect.Piece
	switch {
	case k.Volume < 0 && small:
		return "a sealed bubble of " + sides + ", filled", "it had no way out, and was filled"
	case k.Volume < 0:
		return "a sealed room of " + sides + ", filled", "it had no way out and was filled, so it traps no resin: the piece differs from the scene, and is heavier"
	case k.Kept:
		return "a loose piece of " + sides + ", kept", "nothing holds it, but the scene keeps it: it drifts in the vat"
	case small:
		return "a loose bit of " + sides + ", dropped", "nothing held it, so it was dropped"
	}
	return "a loose piece of " + sides + ", dropped", "nothing held it, so it was dropped: a part of the scene is missing"
}

// estimate is what a base takes to print.
func estimate(s *set.Set, solid *mesh.Solid) inspect.Estimate {
	material, printer := &s.Site.Material, &s.Site.Printer
	stock := inspect.Stock{Density: material.Density, Supports: material.Supports, Waste: material.Waste, Price: material.Price}
	pace := printer.Pace()
	e := inspect.EstimateOf(solid.Proof.Volume, solid.Proof.Box.Max.Z, stock, inspect.Pace{
		Layer: printer.Up().Size, Exposure: pace.Exposure, FirstExposure: pace.FirstExposure,
		FirstLayers: printer.FirstLayers, Lift: pace.Lift, Speed: pace.Speed, Line: printer.LineWidth(), Assumed: pace.Assumed,
	})
	if e.Cost != nil {
		e.Currency = material.Currency
	}
	return e
}
