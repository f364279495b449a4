// Package inspect looks at a closed mesh as the printer will see it: cut into
// layers of pixels, at the printer's own pixel and layer height. It takes plain
// vertices and triangles, in mm, and gives findings as plain values.
//
// A pixel is solid where its centre, at half the height of its layer, is inside
// the mesh. Nothing is smoothed and nothing is guessed in between, so what is
// smaller than a pixel or a layer can pass unseen. Everything else is exact on
// those pixels: areas, contacts and connections are counted, and distances are
// true Euclidean distances between pixel centres.
//
// The outcome is the same whatever the number of workers.
package inspect
