package parts

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// Motion takes what is told in a plan of its own to the plan of the scene: mirrored about
// its x axis or not, then turned, then set.
type Motion struct {
	Mirror bool
	Turn   float64 // degrees, anticlockwise
	At     r2.Vec  // where its origin comes to lie, mm
}

// Then is one motion and then another.
func (m Motion) Then(n Motion) Motion {
	return Motion{Mirror: m.Mirror != n.Mirror, Turn: n.Heading(m.Turn), At: n.Point(m.At)}
}

// Point is where a point comes to lie.
func (m Motion) Point(p r2.Vec) r2.Vec {
	if m.Mirror {
		p.Y = -p.Y
	}
	sin, cos := planar.SinCos(m.Turn)
	return r2.Vec{X: m.At.X + cos*p.X - sin*p.Y, Y: m.At.Y + sin*p.X + cos*p.Y}
}

// Heading is what a direction turns to, degrees from east, over -180 and up to 180.
func (m Motion) Heading(degrees float64) float64 {
	if m.Mirror {
		degrees = -degrees
	}
	degrees = math.Mod(degrees+m.Turn, 360)
	switch {
	case degrees > 180:
		degrees -= 360
	case degrees <= -180:
		degrees += 360
	}
	return degrees
}

// area is where an area comes to lie, with its own sides turned as it is.
func (m Motion) area(a Area) Area {
	c := a.Centre()
	by := r2.Sub(m.Point(c), c)
	move := func(sizes []float64) []float64 {
		if len(sizes) < 2 {
			return sizes
		}
		sizes = slices.Clone(sizes)
		sizes[0] += by.X
		sizes[1] += by.Y
		return sizes
	}
	a.Rect, a.Round, a.Oval = move(a.Rect), move(a.Round), move(a.Oval)
	a.Polygon = slices.Clone(a.Polygon)
	for i, p := range a.Polygon {
		if m.Mirror {
			p.Y = 2*c.Y - p.Y
		}
		a.Polygon[i] = r2.Add(p, by)
	}
	a.Turn = m.Heading(a.Turn)
	return a
}

// FollowsLine is a part whose turn may be told from the line that it follows and not from
// the east.
type FollowsLine interface{ FollowsLine() bool }

// Carry takes the values of a part's keys, told in a plan of its own, to the scene. Keys
// say by their tag plan how they move; points, areas and facings that say nothing lie in
// the plan. Those that keep names are left as they are. The fault is of what cannot be
// turned so.
func (m Motion) Carry(p Part, keys []Key, keep func(word string) bool) []Fault {
	c := carrying{m, true, nil}
	if f, ok := p.(FollowsLine); ok {
		c.aligned = !f.FollowsLine()
	}
	for _, k := range keys {
		if !keep(k.Word) {
			c.value(k.Word, k, reflect.ValueOf(p).Elem().FieldByIndex(k.Index))
		}
	}
	for i := range c.faults {
		c.faults[i].Part = p.Label()
	}
	return c.faults
}

// carrying is one part on its way.
type carrying struct {
	Motion
	aligned bool // its turn is told from the east
	faults  []Fault
}

// value takes one value of a key along.
func (c *carrying) value(path string, k Key, v reflect.Value) {
	if k.Optional {
		if v.IsNil() {
			if k.Plan == "turn" && c.aligned && c.Heading(0) != 0 {
				v.Set(reflect.New(k.GoType))
				v.Elem().SetFloat(c.Heading(0))
			}
			return
		}
		v = v.Elem()
	}
	switch {
	case k.GoType == reflect.TypeFor[Area]():
		a := v.Addr().Interface().(*Area)
		if len(a.Rect)+len(a.Round)+len(a.Oval)+len(a.Polygon) > 0 {
			*a = c.area(*a)
		}
	case k.Type == Point:
		v.Set(reflect.ValueOf(c.point(k, v.Interface().(r2.Vec))))
	case k.Type == Points:
		points := slices.Clone(v.Interface().([]r2.Vec))
		for i, p := range points {
			points[i] = c.point(k, p)
		}
		if k.Plan == "left" && c.Mirror {
			slices.Reverse(points)
		}
		v.Set(reflect.ValueOf(points))
	case k.Type == Facing, k.Plan == "turn" && c.aligned:
		v.SetFloat(c.Heading(v.Float()))
	case k.Plan == "turn", k.Plan == "aside":
		if c.Mirror {
			v.SetFloat(0 - v.Float())
		}
	case k.Plan == "flank" && c.Mirror:
		if word, ok := map[string]string{"left": "right", "right": "left"}[v.String()]; ok {
			v.SetString(word)
		}
	case k.Plan == "side":
		c.side(path, v)
	case k.Type == Table:
		c.below(path, k.Sub, v)
	case k.Type == Tables:
		for i := range v.Len() {
			c.below(fmt.Sprintf("%s[%d]", path, i), k.Sub, v.Index(i))
		}
	}
}

func (c *carrying) below(path string, keys []Key, v reflect.Value) {
	for _, k := range keys {
		c.value(path+"."+k.Word, k, v.FieldByIndex(k.Index))
	}
}

// point is where a point of a key comes to lie: one along a part's own axes stays there.
func (c *carrying) point(k Key, p r2.Vec) r2.Vec {
	if k.Plan != "own" {
		return c.Point(p)
	}
	if c.Mirror {
		p.Y = -p.Y
	}
	return p
}

// sides of the plan, by the quarter turns from the east.
var sides = []string{"east", "north", "west", "south"}

// side turns a side of the plan to another; other words stay.
func (c *carrying) side(path string, v reflect.Value) {
	i := slices.Index(sides, v.String())
	if i < 0 {
		return
	}
	quarters := c.Heading(90*float64(i)) / 90
	if quarters != math.Round(quarters) {
		c.faults = append(c.faults, Fault{Key: path, Text: fmt.Sprintf("%s, turned by %g degrees, is no side of the plan", v.String(), c.Turn),
			Allowed: "a place that is turned by 0, 90, 180 or 270 degrees, or another word than " + strings.Join(sides, ", ")})
		return
	}
	v.SetString(sides[(int(quarters)+4)%4])
}
