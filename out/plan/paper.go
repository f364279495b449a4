package plan

import "math"

// sheets are the A sizes of ISO 216, mm, the smallest first.
var sheets = []struct {
	name        string
	short, long float64
}{
	{"A4", 210, 297},
	{"A3", 297, 420},
	{"A2", 420, 594},
	{"A1", 594, 841},
	{"A0", 841, 1189},
}

// paperFor names the smallest sheet that holds a page, either way round; "" where
// none does.
func paperFor(width, height float64) string {
	short, long := math.Min(width, height), math.Max(width, height)
	for _, s := range sheets {
		if short <= s.short && long <= s.long {
			return s.name
		}
	}
	return ""
}
