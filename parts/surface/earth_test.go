package surface_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

func siteAt(ratio, least float64) *parts.Site {
	return &parts.Site{Scale: parts.Scale{Ratio: ratio, Exaggerate: 1}, Print: parts.Print{Pin: 0.8, Wall: 1, Gap: least, Relief: least}}
}

// rms is how far a relief lies from its best plane over a window of 2 x 2 mm.
func rms(h relief.Relief, x, y float64) float64 {
	const n, step = 11, 0.2
	var s, sx, sy, ss, xx float64
	for i := range n {
		for j := range n {
			dx, dy := step*float64(i-n/2), step*float64(j-n/2)
			v := h.Value(sdf.V(x+dx, y+dy, 0))
			s, sx, sy, ss, xx = s+v, sx+v*dx, sy+v*dy, ss+v*v, xx+dx*dx
		}
	}
	const all = n * n
	return math.Sqrt(math.Max(0, (ss-s*s/all-(sx*sx+sy*sy)/xx)/all))
}

// No soil is bare at any usual scale: at most a tenth of its windows lie within 0.02 mm of
// a plane (a fifth of mud, whose puddles are flat), and none is deeper than what a base
// has to give.
func TestSoilsAreNotBare(t *testing.T) {
	for _, of := range strings.Split(surface.Soils, ",") {
		for _, ratio := range []float64{28, 56, 72, 100, 285} {
			s := siteAt(ratio, 0.3)
			h := surface.Soil(s, of, 7)
			if of == "plain" {
				require.Nil(t, h)
				require.Nil(t, surface.Bank(s, of, 7))
				continue
			}
			require.GreaterOrEqual(t, h.Depth(), s.Print.Relief, "%s at 1:%g", of, ratio)
			require.LessOrEqual(t, h.Depth(), 2.0, "%s at 1:%g", of, ratio)
			bare, all := 0, 0
			for x := 0.0; x < 60; x += 2.3 {
				for y := 0.0; y < 60; y += 2.3 {
					all++
					if rms(h, x, y) < 0.02 {
						bare++
					}
				}
			}
			most := 0.1
			if of == "mud" {
				most = 0.2
			}
			require.LessOrEqual(t, float64(bare)/float64(all), most, "%s at 1:%g", of, ratio)
		}
	}
}

// Coarser printers get a coarser relief.
func TestSoilsFollowThePrinter(t *testing.T) {
	for _, of := range strings.Split(surface.Soils, ",") {
		if of == "plain" {
			continue
		}
		fine, coarse := surface.Soil(siteAt(285, 0.3), of, 7), surface.Soil(siteAt(285, 0.6), of, 7)
		require.Greater(t, coarse.Depth(), 1.5*fine.Depth(), of)
	}
}
