// Package all holds the catalogue: it imports every family of parts, so that each is
// registered.
package all

import (
	_ "socle/parts/base"
	_ "socle/parts/collapse"
	_ "socle/parts/column"
	_ "socle/parts/crack"
	_ "socle/parts/crater"
	_ "socle/parts/deck"
	_ "socle/parts/fieldwork"
	_ "socle/parts/goods"
	_ "socle/parts/ground"
	_ "socle/parts/house"
	_ "socle/parts/paving"
	_ "socle/parts/pockmarks"
	_ "socle/parts/rail"
	_ "socle/parts/spill"
	_ "socle/parts/stair"
	_ "socle/parts/street"
	_ "socle/parts/trim"
	_ "socle/parts/wall"
	_ "socle/parts/wild"
	_ "socle/parts/works"
)
