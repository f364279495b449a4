package picture

import (
	"image"
	"image/color"
	"image/draw"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func flat(w, h int, c color.RGBA) image.Image {
	m := image.NewRGBA(image.Rect(5, 7, 5+w, 7+h))
	draw.Draw(m, m.Rect, image.NewUniform(c), image.Point{}, draw.Src)
	return m
}

var (
	red, green = color.RGBA{255, 0, 0, 255}, color.RGBA{0, 255, 0, 255}
	blue       = color.RGBA{0, 0, 255, 255}
)

// spread counts the pixels of every colour and gives the box around them.
func spread(m *image.RGBA) (map[color.RGBA]int, map[color.RGBA]image.Rectangle) {
	count, where := map[color.RGBA]int{}, map[color.RGBA]image.Rectangle{}
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		for x := m.Rect.Min.X; x < m.Rect.Max.X; x++ {
			c := m.RGBAAt(x, y)
			count[c]++
			where[c] = where[c].Union(image.Rect(x, y, x+1, y+1))
		}
	}
	return count, where
}

// written counts the pixels of a box that are not paper.
func written(m *image.RGBA, box image.Rectangle) (n int) {
	box = box.Intersect(m.Rect)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if m.RGBAAt(x, y) != paper {
				n++
			}
		}
	}
	return n
}

func TestContactSheet(t *testing.T) {
	cells := []Cell{
		{flat(160, 120, red), "one", "round 32, 4.0 mm tall"},
		{flat(80, 120, green), "two", ""},
		{flat(160, 60, blue), "", "three"},
	}
	sheet := ContactSheet("Saltmere Quay", cells, 2)
	count, where := spread(sheet)
	require.Equal(t, 160*120, count[red])
	require.Equal(t, 80*120, count[green])
	require.Equal(t, 160*60, count[blue])
	require.Greater(t, where[green].Min.X, where[red].Max.X)
	require.Greater(t, where[blue].Min.Y, where[red].Max.Y)

	// A line of names and a line of facts, and nothing where they are missing.
	half := newTypeset(160, 120).line
	lines := func(under image.Rectangle, x0, x1 int) (name, facts int) {
		y := under.Max.Y + half/4
		return written(sheet, image.Rect(x0, y, x1, y+half)), written(sheet, image.Rect(x0, y+half, x1, y+2*half))
	}
	name, facts := lines(where[red], where[red].Min.X, where[red].Max.X)
	require.Greater(t, name, 40)
	require.Greater(t, facts, 200)
	name, facts = lines(where[red], where[red].Max.X+2, sheet.Rect.Max.X)
	require.Greater(t, name, 40)
	require.Zero(t, facts)
	require.Greater(t, written(sheet, image.Rect(0, 0, sheet.Rect.Max.X, where[red].Min.Y)), 500, "a title")

	bare := ContactSheet("", cells, 2)
	_, where = spread(bare)
	require.Zero(t, written(bare, image.Rect(0, 0, bare.Rect.Max.X, where[red].Min.Y)))
	require.Less(t, bare.Rect.Dy(), sheet.Rect.Dy())

	require.Equal(t, 1, ContactSheet("title", nil, 3).Rect.Dx())
	require.Equal(t, 1, ContactSheet("title", []Cell{{Name: "no picture"}}, 3).Rect.Dx())
	require.NotPanics(t, func() {
		long := strings.Repeat("far too long ", 30)
		ContactSheet(long, []Cell{{flat(3, 3, red), long, long}, {nil, "none", ""}}, -4)
	})
}

// However many pictures there are, the sheet stays in bounds and says what it
// leaves out.
func TestSheetsAreBounded(t *testing.T) {
	tall := make([]Cell, 3000)
	for i := range tall {
		tall[i].Image = flat(10, 30, red)
	}
	all := ContactSheet("title", tall, 0)
	count, _ := spread(all)
	require.Equal(t, 3000*10*30, count[red], "all of them fit")
	require.LessOrEqual(t, ContactSheet("", tall, 1).Rect.Dy(), mostSide)

	large := image.NewUniform(red)
	big := bounded{large, image.Rect(0, 0, 3000, 2000)}
	many := make([]Cell, 40)
	for i := range many {
		many[i].Image = big
	}
	sheet := ContactSheet("", many, 8)
	require.LessOrEqual(t, sheet.Rect.Dx()*sheet.Rect.Dy(), mostSheet*11/10)
	_, where := spread(Shrink(sheet, 300, 300))
	top := where[red].Min.Y * sheet.Rect.Dx() / 300
	require.Greater(t, written(sheet, image.Rect(sheet.Rect.Dx()/2, 0, sheet.Rect.Dx(), top)), 100, "says how many are missing")
}

// bounded is a picture of one colour that takes no memory.
type bounded struct {
	*image.Uniform
	box image.Rectangle
}

func (b bounded) Bounds() image.Rectangle { return b.box }

func TestColumnsAreChosen(t *testing.T) {
	const shape = 1.2
	for n, want := range map[int]int{1: 1, 2: 2, 3: 3, 4: 2, 5: 3, 6: 3, 8: 4, 9: 3, 12: 4, 15: 5, 20: 5} {
		got := goodColumns(n, shape)
		require.Equal(t, want, got, "%d pictures", n)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 500).Draw(t, "n")
		c := goodColumns(n, rapid.Float64Range(0.5, 2).Draw(t, "shape"))
		require.GreaterOrEqual(t, c, 1)
		require.LessOrEqual(t, c, n)
		require.Less(t, (n+c-1)/c*c-n, c, "no row is empty")
	})
}

func TestGrid(t *testing.T) {
	columns := []Column{
		{Name: "as it is", Images: map[string]image.Image{"walker": flat(160, 120, red), "scout-1": flat(160, 120, blue)}},
		{Name: "high-water", Lines: strings.Fields(strings.Repeat("levels.quay=4.5 ", 20)),
			Images: map[string]image.Image{"walker": flat(160, 120, green)}},
	}
	rows := []string{"walker", "scout-1"}
	sheet := Grid("Saltmere Quay", rows, columns)
	count, where := spread(sheet)
	for _, c := range []color.RGBA{red, green, blue} {
		require.Equal(t, 160*120, count[c])
	}
	require.Equal(t, where[red].Min.X, where[blue].Min.X, "a column")
	require.Equal(t, where[red].Min.Y, where[green].Min.Y, "a row")

	// The missing one is a frame of dashes around a word, and else paper.
	empty := image.Rect(where[green].Min.X, where[blue].Min.Y, where[green].Max.X, where[blue].Max.Y)
	n := written(sheet, empty)
	require.Greater(t, n, 250)
	require.Less(t, n, 2000)
	require.Greater(t, written(sheet, empty.Inset(20)), 60, "the word")
	top := image.Rect(empty.Min.X, empty.Min.Y, empty.Max.X, empty.Min.Y+3)
	require.Greater(t, written(sheet, top), 50)
	require.Less(t, written(sheet, top), 160*3*3/4, "dashes")

	// Names stand before the rows, and the changes over the columns.
	line := newTypeset(160, 120).line
	require.Greater(t, written(sheet, image.Rect(0, where[red].Min.Y, where[red].Min.X, where[red].Min.Y+line*3/2)), 40)
	over := image.Rect(where[green].Min.X, where[green].Min.Y-4*line, where[green].Max.X, where[green].Min.Y)
	require.Greater(t, written(sheet, over), 3*written(sheet, over.Sub(image.Pt(over.Min.X-where[red].Min.X, 0))), "only one has changes")

	require.Equal(t, 1, Grid("title", rows, nil).Rect.Dx())
	require.Equal(t, 1, Grid("title", nil, columns).Rect.Dx())
	require.NotPanics(t, func() {
		many := make([]Column, 70)
		many[3].Images = map[string]image.Image{"": flat(1, 1, red)}
		Grid(strings.Repeat("long ", 99), make([]string, 3), many)
	})
}

func TestTextIsWrapped(t *testing.T) {
	fc := face(regular(), 14)
	require.Empty(t, wrapped(fc, "  ", 100, 3))
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.StringMatching(`[a-z.=]{1,12}`), 0, 40).Draw(t, "words"), " ")
		width, most := rapid.IntRange(60, 500).Draw(t, "width"), rapid.IntRange(1, 4).Draw(t, "lines")
		lines := wrapped(fc, text, width, most)
		require.LessOrEqual(t, len(lines), most)
		whole := true
		for _, l := range lines {
			require.Equal(t, fitting(fc, l, width), l, "fits")
			whole = whole && !strings.HasSuffix(l, "…")
		}
		if whole {
			require.Equal(t, text, strings.Join(lines, " "), "nothing is lost")
		} else {
			require.NotEqual(t, text, strings.Join(lines, " "))
		}
	})
}
