package parts

import "math"

// equalBays divides a length into the fewest equal bays none of which is longer
// than spacing; both in mm. It gives at least one.
func equalBays(length, spacing float64) int {
	if length <= spacing || spacing <= 0 {
		return 1
	}
	return int(math.Ceil(length/spacing - rounding))
}

// balusters gives how many balusters of thickness b stand in a clear span so
// that no gap is wider than widest, and the gap that results. All in mm.
//
//	n = ceil((span - widest)/(b + widest))   gap = (span - n b)/(n + 1)
func balusters(span, b, widest float64) (n int, gap float64) {
	if span > widest {
		n = int(math.Ceil((span-widest)/(b+widest) - rounding))
	}
	return n, (span - float64(n)*b) / float64(n+1)
}
