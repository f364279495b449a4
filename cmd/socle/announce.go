package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"

	"socle/sdf/mesh"
)

// What a build costs, s of one processor. Counted on a plain desktop of 2024 over bases
// of the shipped scenes and of a themed set; common practice, no source. Half or twice as
// much is well within what they are good for.
const (
	secondsOfWork    = 1e-5   // for each count of mesh.Work: meshing
	secondsOfGround  = 0.4e-3 // for each mm2 of a base's box: inspection
	secondsOfPicture = 1e-6   // for each pixel that is drawn
	picturesNearBy   = 3      // of stands, stairs and damage, as a base has them
)

// announce tells, before a build begins, what it makes and roughly how long that takes.
// That is counted from the work ahead, by no clock, and is written nowhere else.
func (b *build) announce(ctx context.Context, w io.Writer) error {
	if b.quiet {
		return nil
	}
	seconds, err := b.guess(ctx)
	if err != nil {
		return err
	}
	n := runtime.GOMAXPROCS(0)
	fmt.Fprintf(w, "%s: %s\n", plural(len(b.pieces), "base", "bases"), strings.Join(b.makes(), ", "))
	fmt.Fprintf(w, "roughly %s on %s that have nothing else to do; less where something is kept from before\n",
		roughly(seconds/float64(n)), plural(n, "processor", "processors"))
	return nil
}

// makes lists what a build makes.
func (b *build) makes() []string {
	all := []string{"meshed, proven and inspected"}
	for _, f := range []struct{ format, word string }{{formatSTL, "STL"}, {format3MF, "3MF"}} {
		if b.formats.has(f.format) {
			all = append(all, f.word)
		}
	}
	if b.formats.has(formatPNG, formatHTML) {
		pictures := "pictures from all sides and near by"
		switch {
		case len(b.views) > 0:
			pictures = "pictures (" + strings.Join(b.views, ", ") + ")"
		case b.from != "":
			pictures = "a picture from " + b.from
		}
		all = append(all, pictures)
		if b.drawsVariants() {
			all = append(all, plural(len(b.scene.read.Variants), "variant", "variants")+" on a sheet")
		}
	}
	for _, f := range []struct{ format, word string }{{formatSVG, "the plan"}, {formatHTML, "the report"}} {
		if b.formats.has(f.format) {
			all = append(all, f.word)
		}
	}
	return all
}

// guess counts the work of a build, s of one processor.
func (b *build) guess(ctx context.Context) (float64, error) {
	pixels := 0.0
	if a := b.drawing.artist(b.scene, b.formats); a != nil {
		large := thumbWidth * thumbHeight
		for _, v := range views() {
			switch {
			case !a.wants(v) || v == viewSet || v == viewVariants:
			case v == viewDetails:
				large += picturesNearBy * a.size.X * a.size.Y
			case v == viewFindings: // printed over those that there are
			default:
				large += a.size.X * a.size.Y
			}
		}
		pixels = float64(large)
	}
	all := 0.0
	for i := range b.pieces {
		p := &b.pieces[i]
		o := b.resolution.options()
		o.Box, o.Heights = p.Box, p.Heights
		work, err := mesh.Work(ctx, p.Field, o)
		if err != nil {
			return 0, err
		}
		one := work*secondsOfWork + (p.Box.Max.X-p.Box.Min.X)*(p.Box.Max.Y-p.Box.Min.Y)*secondsOfGround + pixels*secondsOfPicture
		if b.drawsVariants() {
			coarser := variantCell(p) / b.resolution.cell
			one += float64(len(b.scene.read.Variants)) * (work*secondsOfWork/(coarser*coarser) + thumbWidth*thumbHeight*secondsOfPicture)
		}
		all += one
	}
	return all, nil
}

// roughly tells of a time in one figure.
func roughly(seconds float64) string {
	figure := func(v float64) string {
		scale := math.Pow(10, math.Floor(math.Log10(math.Max(v, 1))))
		return fmt.Sprintf("%g", math.Max(1, math.Round(v/scale)*scale))
	}
	switch {
	case seconds < 10:
		return "10 s or less"
	case seconds < 90:
		return figure(seconds) + " s"
	case seconds < 90*60:
		return figure(seconds/60) + " min"
	}
	return figure(seconds/3600) + " h"
}
