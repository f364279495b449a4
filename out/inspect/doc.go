// Package inspect looks at a closed mesh as the printer will see it, and holds it
// against what it was meant to be. It takes plain vertices and triangles, in mm, and
// gives findings as plain values; Inspect does all of it.
//
// What can be measured on the mesh itself is: thickness, gaps, pockets, stands,
// risers and the foot, by exact lines and nearest points (tree.Index). What hangs on
// layers is looked at on a raster.Raster, at the printer's own pixel and layer height:
// islands, overhangs, voids, vents and necks.
//
// The outcome is the same whatever the number of workers.
package inspect
