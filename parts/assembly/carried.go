package assembly

import (
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
		deck, ok := f.part.(parts.Carried)
		if !ok || !f.lies.Meets(rim) {
			continue
		}
		under, carriers := deck.Carriers(j.site)
		if len(carriers) == 0 || b.Datum(j.site, at.OnScene()) >= under {
			continue
		}
		stands := false
		for i := range carriers {
			stands = stands || carriers[i].Meets(rim)
		}
		if !stands {
			return true
		}
	}
	return false
}
