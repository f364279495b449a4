// Package collapse brings work down where it stood: a stretch of a wall down to a ragged stump,
// or a region of a floor. What came down is a source of debris, with its volume; the spill lays it.
package collapse
