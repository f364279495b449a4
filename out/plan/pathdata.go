package plan

import (
	"math"
	"strconv"
	"strings"
)

// number writes a value with at most three decimals.
func number(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		v = 0 // no negative zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// pathData is the path as SVG has it (SVG 1.1, chapter 8), absolute, in the
// scene's own coordinates: the drawing is turned north up as a whole.
func pathData(path []Node, closed bool) string {
	var b strings.Builder
	for i, n := range path {
		switch {
		case i == 0:
			b.WriteByte('M')
		case n.RX > 0 && n.RY > 0:
			b.WriteString("A" + number(n.RX) + " " + number(n.RY) + " " + number(n.Turn) + flag(n.Large) + flag(!n.Clockwise) + " ")
		default:
			b.WriteByte('L')
		}
		b.WriteString(number(n.To.X) + " " + number(n.To.Y))
	}
	if closed {
		b.WriteByte('Z')
	}
	return b.String()
}

func flag(on bool) string {
	if on {
		return " 1"
	}
	return " 0"
}

// fineData is a path of straight sides in few bytes: steps from corner to corner
// in hundredths of a mm. Each corner is rounded by itself, so that no error adds up.
func fineData(path []Node, closed bool) string {
	var b strings.Builder
	var x, y int64
	for i, n := range path {
		toX, toY := int64(math.Round(n.To.X*100)), int64(math.Round(n.To.Y*100))
		switch i {
		case 0:
			b.WriteByte('M')
		case 1:
			b.WriteByte('l')
		}
		stepX, stepY := hundredths(toX-x), hundredths(toY-y)
		if i > 1 && stepX[0] != '-' {
			b.WriteByte(' ')
		}
		b.WriteString(stepX)
		if stepY[0] != '-' {
			b.WriteByte(' ')
		}
		b.WriteString(stepY)
		x, y = toX, toY
	}
	if closed {
		b.WriteByte('z')
	}
	return b.String()
}

func hundredths(v int64) string { return number(float64(v) / 100) }

// isStraight tells whether a path has no arcs.
func isStraight(path []Node) bool {
	for _, n := range path {
		if n.RX > 0 && n.RY > 0 {
			return false
		}
	}
	return true
}
