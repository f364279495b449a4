package assembly

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/crater"
	"socle/parts/partstest/fixtures"
	"socle/parts/rail"
	"socle/parts/spill"
	"socle/sdf"
)

func tonesOf(t require.TestingT, sc *Scene, p Piece, at ...r3.Vec) []Tone {
	tones, err := sc.Tones(context.Background(), p, at)
	require.NoError(t, err)
	require.Len(t, tones, len(at))
	return tones
}

// shelledSite is a paved court with a stair, a rail, a crater over both and its
// spill, and a gouge.
func shelledSite(rim string) *parts.Site {
	rail := &rail.Rail{Named: parts.Named{Name: "rail"}, Line: []r2.Vec{{X: 30, Y: 24}, {X: 70, Y: 24}}, Level: &parts.Level{Height: 10}, Flank: "both", Edge: "open",
		Height: 8, Spacing: 8, Post: 1.5, Handrail: 1, Infill: "none", Rails: 1, Section: "round", Caps: "none", Inset: 1}
	hit := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 56, Y: 44}, Diameter: 15, Slope: 37, Blanket: 2.5, Roughness: 0.6, Seed: 4}
	scar := &crater.Gouge{Named: parts.Named{Name: "scar"}, Line: []r2.Vec{{X: 30, Y: 28}, {X: 46, Y: 36}},
		Width: 3, Depth: 1.2, Profile: "v", Lips: 0.6, Roughness: 0.4, Seed: 2}
	spill := &spill.Spill{Named: parts.Named{Name: "debris"}, From: "hit", Exponent: 2.5, Sherds: 0.3, Repose: 35, Amount: new(0.4), Size: &[2]float64{0.8, 3}, Seed: 7}
	s, _ := flightSite(rail, hit, scar, spill)
	for _, p := range s.Parts {
		if b, ok := p.(*base.Base); ok {
			b.Rim = rim
			b.Stands = []base.Stand{{At: r2.Vec{X: -10, Y: 3}, Round: 6, Clear: 20}}
		}
	}
	return s
}

// shelledScene is that site assembled, once for all tests: none changes it.
func shelledScene(t *testing.T, rim string) *Scene {
	t.Helper()
	shelledOnce.Lock()
	defer shelledOnce.Unlock()
	if shelled[rim] == nil {
		shelled[rim] = assembled(t, shelledSite(rim))
	}
	return shelled[rim]
}

var (
	shelledOnce sync.Mutex
	shelled     = map[string]*Scene{}
)

// onSurface gives places on the surface of a piece: where rays from outside meet
// it, and as far off it as the centre of a triangle may be.
func onSurface(sc *Scene, p Piece, n int, off float64) []r3.Vec {
	rng := sc.site.Rand("test", 0, "surface")
	size := r3.Sub(p.Box.Max, p.Box.Min)
	anywhere := func() r3.Vec {
		return r3.Add(p.Box.Min, sdf.V(size.X*rng.Float64(), size.Y*rng.Float64(), size.Z*rng.Float64()))
	}
	var out []r3.Vec
	for tries := 0; len(out) < n && tries < 20*n; tries++ {
		at := anywhere()
		if tries%2 == 0 {
			at.Z = p.Box.Max.Z + 1
		}
		way := r3.Unit(r3.Sub(anywhere(), at))
		if tries%2 == 0 {
			way = r3.Unit(r3.Add(sdf.V(0, 0, -2), way))
		}
		if p.Field.Value(at) < 0 {
			continue
		}
		for range 400 {
			d := p.Field.Value(at)
			if d < 1e-4 {
				_, g := p.Field.Gradient(at)
				out = append(out, r3.Add(at, r3.Scale(off*(2*rng.Float64()-1), g)))
				break
			}
			at = r3.Add(at, r3.Scale(d, way))
		}
	}
	return out
}

// crowded gives n places for each, within a hundredth of a mm of it.
func crowded(at []r3.Vec, n int) []r3.Vec {
	var out []r3.Vec
	for _, p := range at {
		for k := range n {
			sin, cos := math.Sincos(float64(k))
			out = append(out, r3.Add(p, sdf.V(0.01*cos, 0.01*sin, 0)))
		}
	}
	return out
}

func TestTones(t *testing.T) {
	s := blameSite()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	for _, c := range []struct {
		at   r3.Vec
		want Tone
		why  string
	}{
		{onBase(p, 60, 50, 10), Built, "the top of the ground"},
		{onBase(p, 46, 42, 15), Built, "the side of the post"},
		{onBase(p, 52, 40, 15), Broken, "the face that the blow left of the post"},
		{onBase(p, 60, 30, 8), Broken, "the floor of the hole in the ground"},
		{onBase(p, 43, 48, 12), Strewn, "the top of what it threw up"},
		{onBase(p, 41, 39, 10.5), Strewn, "the top of the spill"},
		{onBase(p, 44, 39, 10.2), Strewn, "the side of the spill"},
		{onBase(p, 48, 42, 18), Built, "the post's top is the trim's"},
		{onBase(p, 50, 45, 10.3), Built, "where the blow's own face lies in the open it is nobody's surface"},
		{sdf.V(20, 0, 0.4), Built, "the side"},
		{sdf.V(5, 5, 0), Built, "the underside"},
		{sdf.V(0, 0, 2.15), Built, "the roof of a pocket"},
		{sdf.V(-12, 6, 5), Built, "a pad"},
		{sdf.V(math.NaN(), 0, 0), Built, "nowhere"},
		{sdf.V(0, math.Inf(1), 0), Built, "beyond all"},
		{sdf.V(1e9, 0, 0), Built, "far off"},
	} {
		require.Equal(t, c.want, tonesOf(t, sc, p, c.at)[0], c.why)
	}
}

func TestTonesOfNothing(t *testing.T) {
	sc := assembled(t, blameSite())
	require.Empty(t, tonesOf(t, sc, sc.Pieces()[0]))
	require.Equal(t, []Tone{Built}, tonesOf(t, sc, Piece{}, r3.Vec{}), "a piece of no scene")
}

// Every place is told what Nearest puts it down to, and whatever else is asked
// with it.
// takenFrom is all that damage takes: what it cuts, and what breaks off.
func takenFrom(sc *Scene) []sdf.Field {
	all := slices.Clone(sc.damage.cuts)
	for _, s := range sc.shares {
		if s.broken == nil {
			continue
		}
		for _, r := range s.broken.remains {
			for _, f := range r.Taken {
				if f != nil {
					all = append(all, f)
				}
			}
		}
	}
	return all
}

func TestTonesAgreeWithNearest(t *testing.T) {
	scenes := map[string]*Scene{"blamed": assembled(t, blameSite()), "bitten": shelledScene(t, "bitten"), "whole": shelledScene(t, "whole")}
	for name, sc := range scenes {
		t.Run(name, func(t *testing.T) {
			p := sc.Pieces()[0]
			at := onSurface(sc, p, 220, 0.04)
			require.Greater(t, len(at), 180)
			tones := tonesOf(t, sc, p, at...)
			count := map[Tone]int{}
			for i, q := range at {
				count[tones[i]]++
				part := sc.Nearest(p, q)
				switch part.(type) {
				case parts.Damager:
					require.NotEqual(t, Built, tones[i], "%s at %v", part.Label(), q)
				case parts.Spiller:
					require.Equal(t, Strewn, tones[i], "%s at %v", part.Label(), q)
				case *base.Base:
					if tones[i] == Broken { // what it keeps, laid bare
						in := p.Pose.Apply(q)
						require.True(t, slices.ContainsFunc(takenFrom(sc), func(f sdf.Field) bool { return f.Value(in) < 0 }), "at %v", q)
					} else {
						require.Equal(t, Built, tones[i], "%s at %v", part.Label(), q)
					}
				default:
					require.Equal(t, Built, tones[i], "%s at %v", part.Label(), q)
				}
			}
			for _, tone := range []Tone{Built, Broken, Strewn} {
				require.Greater(t, count[tone], 3, "of tone %d", tone)
			}
			for i := 0; i < len(at); i += 40 {
				require.Equal(t, tones[i:i+1], tonesOf(t, sc, p, at[i]), "alone")
			}
		})
	}
}

// The floor that a base keeps is broken where a crater has laid it bare, and built
// where nothing has touched it.
func TestTonesOfAFloorLaidBare(t *testing.T) {
	s := fixtures.GroundWith(
		&testBlow{Named: parts.Named{Name: "blast"}, cut: sdf.BoxBetween(sdf.V(50, 20, -9), sdf.V(80, 40, 40))},
		fixtures.BaseAt("b", func(b *base.Base) { b.Round = new(40.0) }))
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	floor := onBase(p, 58, 30, 0)
	floor.Z = topOver(p, r2.Vec{X: floor.X, Y: floor.Y}, 3)
	require.Less(t, floor.Z, p.Base.Floor+s.Print.Relief, "the cut reaches it")
	require.Equal(t, "b", sc.Nearest(p, floor).Label())
	below := r3.Vec{X: floor.X, Y: floor.Y}
	side := onBase(p, 50, 35, 0)
	side.Z = p.Base.Floor + 1
	require.Equal(t, []Tone{Broken, Built, Broken}, tonesOf(t, sc, p, floor, below, side))
}

func TestTonesForAnyWorkers(t *testing.T) {
	sc := shelledScene(t, "bitten")
	p := sc.Pieces()[0]
	at := crowded(onSurface(sc, p, 100, 0.04), 10)
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	one := tonesOf(t, sc, p, at...)
	runtime.GOMAXPROCS(5)
	require.Equal(t, one, tonesOf(t, sc, p, at...))
}

func TestTonesEndWithTheContext(t *testing.T) {
	sc := assembled(t, blameSite())
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := sc.Tones(ctx, sc.Pieces()[0], make([]r3.Vec, 100_000))
	require.ErrorIs(t, err, context.Canceled)
	_, err = sc.Tones(ctx, Piece{}, nil)
	require.ErrorIs(t, err, context.Canceled)
}

// What bodies share is looked at once, and most places need no look at all.
func TestTonesTakeFewLooks(t *testing.T) {
	sc := shelledScene(t, "bitten")
	p := sc.Pieces()[0]
	at := crowded(onSurface(sc, p, 100, 0.02), 50)
	tn := newToner(sc.sceneryOf(p), at, make([]Tone, len(at)))
	tn.descend(context.Background(), tn.root(p.Box))
	require.Less(t, float64(tn.looks.Load())/float64(len(at)), 6.0)
}

func BenchmarkTones(b *testing.B) {
	s := shelledSite("bitten")
	sc, err := Assemble(s)
	require.NoError(b, err)
	p := sc.Pieces()[0]
	at := crowded(onSurface(sc, p, 500, 0.02), 200)
	var looks int64
	for b.Loop() {
		tn := newToner(sc.sceneryOf(p), at, make([]Tone, len(at)))
		tn.descend(context.Background(), tn.root(p.Box))
		looks = tn.looks.Load()
	}
	b.ReportMetric(float64(looks)/float64(len(at)), "looks/place")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(at)), "ns/place")
}
