package assembly

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
)

// costAfloat is what a spot loses over which a raised deck would hang with nothing that
// carries it there: its part would be dropped from the print.
const costAfloat = 8.0

// hangs says whether a raised deck over a spot has none of what carries it within the rim.
func (j *spotJudge) hangs(b *base.Base, at *base.Spot, rim []r2.Vec, near []*feature) bool {
	for _, f := range near {
		if len(f.stood) == 0 || !f.lies.Meets(rim) || b.Datum(j.site, at.OnScene()) >= f.under {
			continue
		}
		if !slices.ContainsFunc(f.stood, func(e parts.Extent) bool { return e.Meets(rim) }) {
			return true
		}
	}
	return false
}
