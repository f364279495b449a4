package picture

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"slices"

	"golang.org/x/image/draw"
)

// WritePNG writes the image as PNG, without an alpha channel where it is opaque.
// It is packed for speed: the best packing would make a picture of a base a
// fifth smaller, in four times the time. It fails on a fault of w, and for an
// image that has no pixel.
func WritePNG(w io.Writer, img image.Image) error {
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	return e.Encode(w, img)
}

// WriteLifePNG writes an image at the size of life as PNG, which says so: a viewer that
// heeds it shows it, and a printer prints it, as large as the print.
func WriteLifePNG(w io.Writer, img image.Image) error {
	var plain bytes.Buffer
	if err := WritePNG(&plain, img); err != nil {
		return err
	}
	perMetre := uint32(math.Round(LifeDPI * 1000 / mmPerInch))
	// The chunk pHYs of RFC 2083, 4.2.4.2, right behind the first.
	chunk := binary.BigEndian.AppendUint32(nil, 9)
	chunk = append(chunk, "pHYs"...)
	for range 2 {
		chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	}
	chunk = append(chunk, 1) // in metres
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	const head = 8 + 4 + 4 + 13 + 4 // the signature and IHDR
	_, err := w.Write(slices.Insert(plain.Bytes(), head, chunk...))
	return err
}

// WriteJPEG writes the image as JPEG. quality runs from 1 to 100, the best. It
// fails on a fault of w, and for an image of more than 65535 pixels along a
// side.
func WriteJPEG(w io.Writer, img image.Image, quality int) error {
	return jpeg.Encode(w, img, &jpeg.Options{Quality: max(1, min(100, quality))})
}

// Shrink gives the picture as large as fits into width by height pixels, in its
// own proportions; one that fits already is not enlarged.
func Shrink(img image.Image, width, height int) *image.RGBA {
	b := img.Bounds()
	k := min(1, float64(width)/float64(max(1, b.Dx())), float64(height)/float64(max(1, b.Dy())))
	small := image.NewRGBA(image.Rect(0, 0, max(1, int(k*float64(b.Dx())+0.5)), max(1, int(k*float64(b.Dy())+0.5))))
	draw.CatmullRom.Scale(small, small.Rect, img, b, draw.Src, nil)
	return small
}
