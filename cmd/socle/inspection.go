package main

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/out/inspect"
	"socle/parts"
	"socle/sdf/mesh"
)

// inspection is what one base was found to be like.
type inspection struct {
	concerns []concern
	necks    []hanging
	estimate inspect.Estimate
	measured measuredReport
}

// hanging is a bit that hangs by too little, and what is told of it.
type hanging struct {
	parts.Neck
	concern concern
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
	// marksAcross is how many pixels of the raster a nozzle is.
	marksAcross = 4
)

// jobOf sets out what a piece of a scene is held against.
func (s *scene) jobOf(p *parts.Piece) inspect.Job {
	site := s.site
	printer, rules := &site.Printer, &site.Inspect
	in := p.Intent(site)
	job := inspect.Job{
		Grid:   inspect.Grid{Pixel: printer.Across().Size, Layer: printer.Up().Size, Limit: rasterMemory},
		Tilted: rules.Laid == "tilted",
		Least: inspect.Least{
			WallJoined: printer.JoinedWall(), WallFree: printer.Wall, Pin: printer.Pin, Gap: printer.Gap, Slender: rules.Slender,
		},
		Hair: printer.LeastPin(), Neck: printer.LeastPin(), Bit: leastBit,
		Relief:   site.Print.Relief,
		Overhang: rules.Overhang, Bridge: rules.Bridge, Island: rules.Island, Void: rules.Void,
		Vent:    inspect.VentLimits{Least: printer.Vent, Single: math.Max(printer.Vent, singleVent)},
		Chamfer: float64(printer.FirstLayers) * printer.Up().Size,
		Riser:   math.Max(site.HeightOnPrint(unevenRisers), printer.Up().Size),
		Foot:    in.Foot,
	}
	clearance := [2]float64{resinClearance, depthClearance}
	if printer.Extrudes() {
		job.Vent = inspect.VentLimits{} // filament drains from nothing
		job.Grid.Pixel /= marksAcross
		clearance[0] = filamentClearance
	}
	// A printer that is known to need less may have less.
	clearance[0], clearance[1] = math.Min(clearance[0], printer.Clearance), math.Min(clearance[1], printer.ClearanceDepth)
	job.Least.Slack = job.Grid.Pixel / 2
	if printer.Plate != nil {
		job.Plate = *printer.Plate
	}
	if printer.Tallest != nil {
		job.Tallest = *printer.Tallest
	}
	for _, k := range in.Pockets {
		job.Pockets = append(job.Pockets, inspect.Pocket{At: k.At, Magnet: k.Disc, Clearance: clearance, Skin: k.Skin})
	}
	for _, k := range in.Pads {
		job.Pads = append(job.Pads, inspect.Pad{At: k.At, Round: k.Round, Top: k.Top, Clear: k.Clear})
	}
	return job
}

// inspect looks a solid over and puts what it finds into words.
func (s *scene) inspect(ctx context.Context, p *parts.Piece, solid *mesh.Solid) (*inspection, error) {
	job := s.jobOf(p)
	flights := s.whole.Treads(*p)
	for _, f := range flights {
		job.Flights = append(job.Flights, flightOf(f))
	}
	i, err := s.inspectAs(ctx, p, solid, job, flights)
	if err == nil {
		i.concerns = gather(i.concerns)
	}
	return i, err
}

// inspectAs is inspect with a job of its own, and every finding told singly.
func (s *scene) inspectAs(ctx context.Context, p *parts.Piece, solid *mesh.Solid, job inspect.Job, flights []parts.Flight) (*inspection, error) {
	found, err := inspect.Inspect(ctx, solid.Vertices, solid.Triangles, job)
	if err != nil {
		return nil, fmt.Errorf("inspection: %w", err)
	}
	i := &inspection{measured: measuredReportOf(found, flights), estimate: s.estimate(solid)}
	for _, f := range found.Findings {
		c := s.concernOf(p, &f, flights)
		i.concerns = append(i.concerns, c)
		if f.Kind == inspect.Neck {
			i.necks = append(i.necks, hanging{parts.Neck{From: vec(f.From), To: vec(f.To), At: vec(f.At), Width: f.Value, Ways: f.Ways}, c})
		}
	}
	i.concerns = append(i.concerns, s.crumbs(p, solid)...)
	return i, nil
}

// flightOf is a flight as the inspection takes it: floors and all treads, those
// that cannot be measured without points.
func flightOf(f parts.Flight) (all inspect.Flight) {
	for _, t := range f.Treads {
		all.Treads = append(all.Treads, inspect.Tread{Height: t.Height, Points: t.At})
	}
	return all
}

// concernOf puts one finding into words and down to a part of the scene.
func (s *scene) concernOf(p *parts.Piece, f *inspect.Finding, flights []parts.Flight) concern {
	at, size := f.At, f.Size
	c := concern{
		Check: f.Kind.Check(), Base: p.Name, What: f.Measured(), Meaning: f.Meaning(s.site.Printer.Extrudes()),
		Measure: string(f.Measure), Value: f.Value, Limit: f.Limit, At: &at, Size: &size,
	}
	c.Severity = s.site.Inspect.Severity(c.Check)
	var part parts.Part = p.Base
	switch f.Kind {
	case inspect.UnevenRisers:
		part = flights[f.Which].Stair
	case inspect.TightPocket, inspect.ThinSkin, inspect.UnevenStand, inspect.BlockedStand, inspect.RoughStand, inspect.FootEdge,
		inspect.UnevenFoot, inspect.Bow, inspect.OverPlate, inspect.NarrowVent, inspect.NoVent, inspect.Suction:
	default:
		if nearest := s.whole.Nearest(*p, vec(at)); nearest != nil {
			part = nearest
		}
	}
	if f.Kind == inspect.ThinWall && slices.Max(size[:]) < f.Limit && c.Severity == parts.SeverityWarn {
		c.Severity = parts.SeverityNote // but a stop stays one
		c.Meaning = "a flake, smaller than the least wall every way: it may be lost, and nothing with it"
	}
	c.Part = part.Label()
	if f.Kind == inspect.Neck && f.Ways > 1 && s.site.Inspect.Neck == "cut" {
		c.Meaning += "; it is held in several ways, and one cut would not free it"
	}
	if f.Kind == inspect.Neck && s.site.Inspect.Neck == "stop" {
		c.Severity = parts.SeverityStop
	}
	return c
}

func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// crumbs tells of loose pieces and of voids, as the mesher found them. What is
// smaller than a mark of the printer every way is dust, and only in the document.
func (s *scene) crumbs(p *parts.Piece, solid *mesh.Solid) (all []concern) {
	dust := s.site.Printer.Across().Size
	for _, k := range solid.Crumbs {
		if math.Max(k.Size.X, math.Max(k.Size.Y, k.Size.Z)) < dust {
			continue
		}
		at, size := xyz(k.At), xyz(k.Size)
		c := concern{Check: "crumb", Severity: s.site.Inspect.Severity("crumb"), Base: p.Name, At: &at, Size: &size, Value: math.Abs(k.Volume)}
		part := s.whole.Nearest(*p, k.At)
		if part != nil {
			c.Part = part.Label()
		}
		sides := fmt.Sprintf("%.2f x %.2f x %.2f mm", size[0], size[1], size[2])
		switch {
		case k.Volume < 0:
			c.What, c.Meaning, c.Settled = "a sealed void of "+sides, "it would have trapped resin, and was filled", true
		case k.Kept:
			c.What, c.Meaning = "a loose piece of "+sides, "it hangs on nothing, and was kept as the scene asks: it drifts in the vat"
		default:
			c.What, c.Meaning = "a loose piece of "+sides, "it hung on nothing, and was dropped"
		}
		if k.Volume > 0 && s.site.Inspect.Crumbs == "stop" {
			c.Severity, c.Meaning = parts.SeverityStop, "it hangs on nothing, and the scene asks to stop at that"
		}
		all = append(all, c)
	}
	return all
}

// estimate is what a base takes to print.
func (s *scene) estimate(solid *mesh.Solid) inspect.Estimate {
	material, printer := &s.site.Material, &s.site.Printer
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
