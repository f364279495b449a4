package parts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

func TestTrimKeeps(t *testing.T) {
	at := func(trim *Trim, x, y, z float64) float64 {
		require.Empty(t, trim.Check(nil))
		return trim.Keep(nil).Value(sdf.V(x, y, z))
	}
	north := &Trim{Through: &r2.Vec{X: 5, Y: 20}, Facing: new(90.0)}
	require.Equal(t, -3.0, at(north, 70, 23, 9), "the north side is kept")
	require.Equal(t, 4.0, at(north, 70, 16, -9))
	line := &Trim{Line: []r2.Vec{{X: 0, Y: 20}, {X: 10, Y: 20}}, Top: &Level{Height: 12}}
	require.Equal(t, -3.0, at(line, 70, 23, 9), "what lies to the left")
	require.Equal(t, 4.0, at(line, 70, 16, 9))
	require.Equal(t, 1.0, at(line, 70, 60, 13), "and below the top")
	box := &Trim{Area: &Area{Rect: []float64{10, 10, 30, 20}}}
	require.Equal(t, -5.0, at(box, 20, 15, 900))
	require.Equal(t, 5.0, at(box, 45, 15, -900))
	top := &Trim{Top: &Level{Height: 4}}
	require.Equal(t, -2.0, at(top, 500, -500, 2))
}

func TestTrimFaults(t *testing.T) {
	p, q := r2.Vec{X: 1}, r2.Vec{X: 2}
	for _, c := range []struct {
		key  string
		trim Trim
	}{
		{"", Trim{}},
		{"", Trim{Through: &p, Facing: new(0.0), Line: []r2.Vec{p, q}}},
		{"", Trim{Area: &Area{Round: []float64{0, 0, 5}}, Line: []r2.Vec{p, q}}},
		{"through", Trim{Through: &p}},
		{"facing", Trim{Facing: new(0.0)}},
		{"line", Trim{Line: []r2.Vec{p}}},
		{"line", Trim{Line: []r2.Vec{p, p}}},
		{"line", Trim{Line: []r2.Vec{p, q, p}}},
		{"area.round", Trim{Area: &Area{Round: []float64{0, 0}}}},
	} {
		faults := c.trim.Check(nil)
		require.Len(t, faults, 1)
		require.Equal(t, c.key, faults[0].Key)
		require.NotEmpty(t, faults[0].Allowed)
	}
}

func TestTrimIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trim := &Trim{Through: &r2.Vec{X: 10, Y: 20}, Facing: new(rapid.Float64Range(-400, 400).Draw(t, "facing"))}
		if rapid.Bool().Draw(t, "area") {
			a := drawArea(t)
			trim = &Trim{Area: &a}
		}
		if rapid.Bool().Draw(t, "top") {
			trim.Top = &Level{Height: 4}
		}
		requireHonest(t, trim.Keep(nil), r3.Box{Min: sdf.V(-20, -20, -10), Max: sdf.V(60, 60, 10)}, 1)
	})
}

// A heading is exact at the quarter turns and a unit vector everywhere.
func TestHeading(t *testing.T) {
	require.Equal(t, r2.Vec{X: 1}, heading(360))
	require.Equal(t, 1.0, heading(-270).Y)
	require.Equal(t, 0.0, heading(90).X)
	for d := -720.0; d <= 720; d += 7.5 {
		sin, cos := math.Sincos(d * math.Pi / 180)
		require.InDelta(t, cos, heading(d).X, 1e-12)
		require.InDelta(t, sin, heading(d).Y, 1e-12)
	}
}
