// Package out writes what leaves the house: STL and 3MF files, whole or not at
// all. Its writers take plain vertices and triangles, in mm, and know nothing
// of fields, parts or scenes. They mend nothing: a mesh that a strict reader
// would refuse is an error.
package out
