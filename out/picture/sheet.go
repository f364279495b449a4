package picture

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
)

var paper = color.RGBA{240, 240, 238, 255}

// ContactSheet lays pictures out in rows, left to right, each with its label
// below; labels that are missing stay empty. All cells are as large as the
// largest picture. columns below 1 is 1. It gives a single blank pixel where
// there are no pictures, and leaves out those that would make the sheet taller
// than 65535 pixels or larger than a quarter of a gigapixel.
func ContactSheet(images []image.Image, labels []string, columns int) *image.RGBA {
	var w, h int
	for _, m := range images {
		w, h = max(w, m.Bounds().Dx()), max(h, m.Bounds().Dy())
	}
	if w == 0 || h == 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	columns = max(1, min(columns, len(images)))
	letters := max(10, 0.034*float64(min(w, h)))
	gap := max(4, min(w, h)/40)
	cellW, cellH := w+gap, h+gap+int(1.9*letters)
	columns = max(1, min(columns, (65535-gap)/cellW))
	rows := (len(images) + columns - 1) / columns
	rows = max(1, min(rows, (65535-gap)/cellH, (1<<28)/(columns*cellW*cellH)))

	sheet := image.NewRGBA(image.Rect(0, 0, columns*cellW+gap, rows*cellH+gap))
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	fc := face(regular(), letters)
	for i, m := range images[:min(len(images), rows*columns)] {
		x, y := gap+i%columns*cellW, gap+i/columns*cellH
		b := m.Bounds()
		at := image.Pt(x+(w-b.Dx())/2, y+(h-b.Dy())/2)
		draw.Draw(sheet, image.Rectangle{at, at.Add(b.Size())}, m, b.Min, draw.Over)
		if i < len(labels) {
			write(sheet, fc, fitting(fc, labels[i], w), x+w/2, y+h+int(1.3*letters), true)
		}
	}
	return sheet
}

// WritePNG writes the image as PNG. It fails on a fault of w.
func WritePNG(w io.Writer, img image.Image) error {
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	return e.Encode(w, img)
}
