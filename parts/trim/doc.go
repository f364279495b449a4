// Package trim is the trim: a straight cut through the whole scene, upright or level, or
// round a region. It has no size that the printer has a say in, so nothing to settle.
package trim
