// Package inspect looks at a closed mesh as the printer will see it, and holds it
// against what it was meant to be. It takes plain vertices and triangles, in mm, and
// gives findings as plain values; Inspect does all of it.
//
// What can be measured on the mesh itself is: thickness, gaps, pockets, stands,
// risers and the foot, by exact lines and nearest points (Index). What hangs on
// layers is looked at on a Raster, at the printer's own pixel and layer height:
// islands, overhangs, voids, vents and necks.
//
// A pixel is solid where its centre, at half the height of its layer, is inside
// the mesh. Nothing is smoothed and nothing is guessed in between, so what is
// smaller than a pixel or a layer can pass unseen. Everything else is exact on
// those pixels: areas, contacts and connections are counted, and distances are
// true Euclidean distances between pixel centres.
//
// The outcome is the same whatever the number of workers.
package inspect
