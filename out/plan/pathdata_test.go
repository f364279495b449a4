package plan

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestNumbers(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -0.0001: "0", 1.23456: "1.235", -2.5: "-2.5", 1e5: "100000", 0.1 + 0.2: "0.3"} {
		require.Equal(t, want, number(v))
	}
}

// Fine paths are written in steps: read back, every corner lies within half a
// hundredth of its place, the last as much as the first.
func TestFineStepsAddUpToNoError(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var path []Node
		for range rapid.IntRange(2, 200).Draw(t, "corners") {
			path = append(path, Node{To: Point{rapid.Float64Range(-300, 300).Draw(t, "x"), rapid.Float64Range(-300, 300).Draw(t, "y")}})
		}
		d := fineData(path, true)
		require.True(t, strings.HasPrefix(d, "M") && strings.HasSuffix(d, "z"))
		d = strings.NewReplacer("M", "", "l", " ", "z", "", "-", " -").Replace(d)
		var at Point
		fields := strings.Fields(d)
		require.Len(t, fields, 2*len(path))
		for i, n := range path {
			x, err := strconv.ParseFloat(fields[2*i], 64)
			require.NoError(t, err)
			y, err := strconv.ParseFloat(fields[2*i+1], 64)
			require.NoError(t, err)
			at = Point{at.X + x, at.Y + y}
			require.InDelta(t, n.To.X, at.X, 0.005+1e-9)
			require.InDelta(t, n.To.Y, at.Y, 0.005+1e-9)
		}
	})
}

// chords of an arc lie on its ellipse and end at its node, whichever way round.
func TestChordsLieOnTheirArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rx, ry := rapid.Float64Range(1, 50).Draw(t, "rx"), rapid.Float64Range(1, 50).Draw(t, "ry")
		turn := rapid.Float64Range(-360, 360).Draw(t, "turn")
		c := Point{rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")}
		from := rapid.Float64Range(0, 2*math.Pi).Draw(t, "from")
		sweep := rapid.Float64Range(0.1, 2*math.Pi-0.1).Draw(t, "sweep")
		clockwise := rapid.Bool().Draw(t, "clockwise")
		sin, cos := math.Sincos(turn * math.Pi / 180)
		on := func(a float64) Point {
			s, k := math.Sincos(a)
			return Point{c.X + rx*k*cos - ry*s*sin, c.Y + rx*k*sin + ry*s*cos}
		}
		end := from + sweep
		if clockwise {
			end = from - sweep
		}
		n := Node{To: on(end), RX: rx, RY: ry, Turn: turn, Large: sweep > math.Pi, Clockwise: clockwise}
		all := chords(on(from), n)
		require.Equal(t, n.To, all[len(all)-1][1])
		length, wantLength := 0.0, 0.0
		for i, l := range all {
			length += math.Hypot(l[1].X-l[0].X, l[1].Y-l[0].Y)
			a := on(from + (end-from)*float64(i)/float64(len(all)))
			b := on(from + (end-from)*float64(i+1)/float64(len(all)))
			wantLength += math.Hypot(b.X-a.X, b.Y-a.Y)
			require.InDelta(t, a.X, l[0].X, 1e-4)
			require.InDelta(t, a.Y, l[0].Y, 1e-4)
		}
		require.InDelta(t, wantLength, length, 1e-3)
	})
}

func TestLetteringGivesWay(t *testing.T) {
	s := &spread{within: frame{Point{0, 0}, Point{100, 100}}}
	places := []Point{{50, 50}, {20, 20}}
	at, ok := s.best(places, 10, 4)
	require.True(t, ok)
	require.Equal(t, places[0], at)
	at, _ = s.best(places, 10, 4)
	require.Equal(t, places[1], at, "the first is taken")
	s.avoid(rectanglePath(75, 75, 10, 10), true)
	at, _ = s.best([]Point{{84, 80}, {30, 70}}, 10, 4)
	require.Equal(t, Point{30, 70}, at, "off the line")
	_, ok = s.best(nil, 10, 4)
	require.False(t, ok)
	require.True(t, about(Point{80, 80}, 30, 2).crossed(Point{75, 60}, Point{75, 100}))
	require.False(t, about(Point{80, 80}, 30, 2).crossed(Point{60, 60}, Point{60, 100}))
	require.True(t, about(Point{80, 80}, 30, 2).crossed(Point{70, 80}, Point{90, 80}), "all inside")

	require.Equal(t, "scout", fitted("scout", 3, 50))
	short := fitted(strings.Repeat("a long name ", 20), 3, 50)
	require.LessOrEqual(t, width(short, 3), 50.0)
	require.True(t, strings.HasSuffix(short, "..."))
}

func TestRoundSteps(t *testing.T) {
	for v, want := range map[float64]float64{1.71: 2, 2: 2, 0.43: 0.5, 6: 10, 0.011: 0.02, 51: 100} {
		require.InEpsilon(t, want, roundStep(v), 1e-12)
	}
}
