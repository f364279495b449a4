// Package sight makes meshes for the eye: of a whole field in the time that the proven
// mesher needs for a part of it. They are never written as solids. Nothing is refined,
// reduced or proven; a cell that two sheets pass has one vertex for both, and what is
// thinner than a cell may be missing. Elsewhere they lie within half a cell of the
// surface, with its edges and corners.
//
// The vertices are those of dual contouring (Ju, Losasso, Schaefer and Warren, "Dual
// Contouring of Hermite Data", 2002): one a cell, where the tangent planes at its
// crossings meet. Cells come in cubes, on a lattice that is the same for all fields, and
// each cube is made from the field about it alone: a Keeper takes a cube that it has seen
// in place of making it again.
package sight
