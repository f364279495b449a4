// Package ground is the land under a scene: a plot from the origin, flat or uneven, with
// terraces sunk into it and raised on it. Its floors, hollows and heights are settled
// once for its site (floors.go).
package ground
