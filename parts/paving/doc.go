// Package paving holds the paving: stones laid in a bond. Cells of the bond are cut to
// the area, thin cuts are closed by the stones beside them, and each stone then gets its
// wear.
package paving
