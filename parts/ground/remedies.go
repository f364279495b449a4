package ground

import (
	"fmt"

	"socle/parts"
)

// Remedies of the ground.
func (g *Ground) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(g)
	uneven, loose := g.Surface == "uneven", g.Of != "plain"
	switch {
	case t.Of("shallow-relief", "rough-stand", "stand", "uneven-risers") && (uneven || loose):
		if uneven && t.Of("shallow-relief") {
			r.Scaled("amplitude", "a larger amplitude", g.dips(s).Depth(), 1.5)
		}
		if uneven {
			r.Set("surface", "", "flat")
		}
		if loose {
			r.Set("of", "", "plain")
		}
	case t.Hanging():
		for i := range g.Sunk {
			banked(r, fmt.Sprintf("sunk[%d].bank", i), g.Sunk[i].Bank)
		}
	case t.Thin() && len(g.Sunk) > 0:
		r.Words("sunk", "leave more ground between sunk terraces, and between them and the edge")
	case t.Of("narrow-gap") && len(g.Sunk) > 0:
		r.Words("sunk", "make the sunk terrace wider")
	}
	return r.All
}

// banked adds flatter banks.
func banked(r *parts.Remedies, key string, now float64) {
	const steep, flat = 70.0, 45.0
	for _, v := range []float64{steep, flat} {
		if v < now {
			r.Together(key, "a flatter bank", []parts.Move{r.Move(key, v)})
		}
	}
}
