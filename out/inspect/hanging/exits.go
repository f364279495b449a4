package hanging

import "socle/out/inspect/raster"

// exits gives the core that every way out of a grown core leads to. The solid
// pixels that touch it are the ways out, those that hang together one of them;
// it leads to the first core that is reached through pixels in no core, and not
// back through what has grown. A way that leads nowhere, as a whisker does, is
// left out, and two that join before any core are one.
func (c *Cores) exits(n int, own raster.Window, solid *raster.Raster, been *visits) (to []int) {
	defer been.clear()
	touch, room := own.Same(), own.Same()
	own.Widen(touch, room, true, true)
	grown := func(p [3]int) bool {
		return own.Solid(p[0]-own.Lo[0], p[1]-own.Lo[1], p[2]-own.Lo[2])
	}
	for k := range touch.Size[2] {
		for j := range touch.Size[1] {
			for a, b := range raster.Runs(touch.Row(j, k), touch.Size[0]) {
				for i := a; i < b; i++ {
					p := [3]int{i + own.Lo[0], j + own.Lo[1], k + own.Lo[2]}
					if solid.Solid(p[0], p[1], p[2]) && !grown(p) && been.at(p) == 0 {
						if core, ok := c.leadsTo(p, touch, grown, solid, been); ok {
							to = append(to, core)
						}
					}
				}
			}
		}
	}
	return to
}

// leadsTo gives the core that the way out at a pixel leads to. All pixels of the
// way that touch what has grown are looked at first, so that they are of one way.
func (c *Cores) leadsTo(p [3]int, touch raster.Window, grown func([3]int) bool, solid *raster.Raster, been *visits) (core int, ok bool) {
	been.set(p, 1)
	first, then := [][3]int{p}, [][3]int(nil)
	for len(first)+len(then) > 0 {
		var at [3]int
		if len(first) > 0 {
			at, first = first[0], first[1:]
		} else {
			at, then = then[0], then[1:]
		}
		if c.eroded.Solid(at[0], at[1], at[2]) {
			if !ok {
				core, ok = c.At(at), true
			}
			continue
		}
		if ok && len(first) == 0 {
			return core, true
		}
		for _, d := range adjacent {
			q := [3]int{at[0] + d[0], at[1] + d[1], at[2] + d[2]}
			if !solid.Solid(q[0], q[1], q[2]) || grown(q) || been.at(q) != 0 {
				continue
			}
			touches := touch.Solid(q[0]-touch.Lo[0], q[1]-touch.Lo[1], q[2]-touch.Lo[2])
			if !touches && ok {
				continue
			}
			been.set(q, 1)
			if touches {
				first = append(first, q)
			} else {
				then = append(then, q)
			}
		}
	}
	return core, ok
}
