// Package printed looks, in tests, at how a part alone comes out of the printer: its mesh
// is sliced at the printer's usual pixel and layer.
package printed
