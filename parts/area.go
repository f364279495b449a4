package parts

import (
	"gonum.org/v1/gonum/spatial/r2"
)

// Area is a region of the plan, given in one of four ways.
type Area struct {
	Rect    []float64 `key:"rect" type:"lengths" doc:"[x, y, width, depth] from its south-west corner"`
	Round   []float64 `key:"round" type:"lengths" doc:"[x, y, diameter] about its centre"`
	Oval    []float64 `key:"oval" type:"lengths" doc:"[x, y, long, short] about its centre: a true ellipse"`
	Polygon []r2.Vec  `key:"polygon" type:"points" doc:"corners in order, either way round; sides must not cross"`
	Turn    float64   `key:"turn" type:"angle" doc:"turn of the area about its centre" default:"0" min:"-360" max:"360"`
}
