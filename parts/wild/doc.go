// Package wild is nature and ruin: boulders, outcrops of rock, trunks and stumps of trees,
// fallen beams, reeds, pools and hedges on their banks.
package wild
