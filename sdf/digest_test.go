package sdf

import (
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func digest(t require.TestingT, v any) Digest {
	d, err := DigestOf(v)
	require.NoError(t, err)
	return d
}

// TestDigestIsOfTheContent: what is made alike has one digest, wherever it lies, and
// any other value another.
func TestDigestIsOfTheContent(t *testing.T) {
	type inner struct {
		X float64
		N []int
	}
	type outer struct {
		Name   string
		At     *inner
		Any    any
		Of     map[string]int
		hidden uint8
		Follow int `digest:"-"`
	}
	made := func() outer {
		return outer{"a", &inner{1, []int{1, 2}}, inner{2, nil}, map[string]int{"a": 1, "b": 2, "c": 3}, 7, 1}
	}
	same := digest(t, made())
	for range 20 { // maps are walked in another order each time
		require.Equal(t, same, digest(t, made()))
	}
	followed := made()
	followed.Follow = 2
	require.Equal(t, same, digest(t, followed))

	for name, change := range map[string]func(*outer){
		"text":         func(o *outer) { o.Name = "b" },
		"number":       func(o *outer) { o.At.X = math.Nextafter(1, 2) },
		"list":         func(o *outer) { o.At.N = []int{1, 2, 0} },
		"order":        func(o *outer) { o.At.N = []int{2, 1} },
		"no pointer":   func(o *outer) { o.At = nil },
		"type":         func(o *outer) { o.Any = outer{} },
		"pointer type": func(o *outer) { o.Any = &inner{2, nil} },
		"nothing":      func(o *outer) { o.Any = nil },
		"map":          func(o *outer) { o.Of["c"] = 4 },
		"map key":      func(o *outer) { delete(o.Of, "c"); o.Of["d"] = 3 },
		"hidden":       func(o *outer) { o.hidden = 8 },
	} {
		o := made()
		change(&o)
		require.NotEqual(t, same, digest(t, o), name)
	}
	require.NotEqual(t, digest(t, []string{"ab", "c"}), digest(t, []string{"a", "bc"}))
	require.NotEqual(t, digest(t, 0.0), digest(t, math.Copysign(0, -1)))
	require.Equal(t, digest(t, []int(nil)), digest(t, []int{}))
}

// TestDigestRefuses what cannot be told by its content.
func TestDigestRefuses(t *testing.T) {
	type ring struct{ Next *ring }
	loop := &ring{}
	loop.Next = loop
	for _, v := range []any{func() {}, make(chan int), loop, &sync.Mutex{}, struct{ F func() }{func() {}}} {
		_, err := DigestOf(v)
		require.Error(t, err, "%T", v)
	}
	_, err := DigestOf(struct{ F func() }{})
	require.NoError(t, err)
}

// TestDigestOfFields: of two fields, placed by chance, the same digest means the same
// place.
func TestDigestOfFields(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(label string) r3.Vec {
			n := rapid.IntRange(0, 2)
			return V(float64(n.Draw(t, label)), float64(n.Draw(t, label)), 0)
		}
		a, b := at("a"), at("b")
		made := func(at r3.Vec) Field {
			return Union(Place(Sphere(1), At(at)), Difference(Box(V(4, 4, 1), 0), Place(Sphere(2), At(at))))
		}
		require.Equal(t, a == b, digest(t, made(a)) == digest(t, made(b)))
	})
}
