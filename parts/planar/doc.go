// Package planar is the geometry of the plan: outlines, regions as signed distances,
// lines, and paths to be drawn.
package planar
