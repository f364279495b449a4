package page

import (
	"bytes"
	"encoding/base64"
	"html/template"
	"image"
	_ "image/jpeg" // what Embed takes
	_ "image/png"
)

// Embedded is a picture as the templates want it.
type Embedded struct {
	Caption, Alt string
	Source       template.HTMLAttr // src="data:..."
	Width        int
	Height       int
}

// show gives a picture for the page, or nil where it is none.
func show(p *Picture) *Embedded {
	if p == nil {
		return nil
	}
	return Embed(p.JPEG, p.Caption, p.Alt)
}

// Embed gives a picture, a JPEG or a PNG, for a page, or nil where its head does not read.
// Its size is taken from there, so that the page keeps the right place free for it.
func Embed(file []byte, caption, alt string) *Embedded {
	head, format, err := image.DecodeConfig(bytes.NewReader(file))
	if err != nil || head.Width < 1 || head.Height < 1 {
		return nil
	}
	caption = orElse(caption, "")
	return &Embedded{
		Caption: caption,
		Alt:     orElse(alt, orElse(caption, "A picture without a description")),
		// Base64 has no letter that would have to be escaped between quotes.
		Source: template.HTMLAttr(`src="data:image/` + format + `;base64,` + base64.StdEncoding.EncodeToString(file) + `"`),
		Width:  head.Width,
		Height: head.Height,
	}
}

// showAll gives those that are pictures.
func showAll(all []Picture) (fit []Embedded) {
	for i := range all {
		if s := show(&all[i]); s != nil {
			fit = append(fit, *s)
		}
	}
	return fit
}
