package fieldwork

import (
	"testing"

	"socle/parts/partstest"
)

func TestAnyKeysBuild(t *testing.T) {
	partstest.RequireAnyKeysBuild(t, 1, "sandbags", "duckboards", "revetment", "stakes", "obstacle", "barricade", "trestle")
}
