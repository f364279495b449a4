// Package wild is nature and ruin: boulders, outcrops of rock, trunks and stumps of trees,
// fallen beams and reeds.
package wild
