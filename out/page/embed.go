package page

import (
	"bytes"
	"encoding/base64"
	"html/template"
	"image/jpeg"
)

// shown is a picture as the template wants it.
type shown struct {
	Caption, Alt string
	Source       template.HTMLAttr // src="data:..."
	Width        int
	Height       int
}

// show gives a picture for the page, or nil where it is none: no JPEG, or one
// whose head does not read. Its size is taken from the JPEG itself, so that the
// page keeps the right place free for it.
func show(p *Picture) *shown {
	if p == nil {
		return nil
	}
	head, err := jpeg.DecodeConfig(bytes.NewReader(p.JPEG))
	if err != nil || head.Width < 1 || head.Height < 1 {
		return nil
	}
	caption := orElse(p.Caption, "")
	return &shown{
		Caption: caption,
		Alt:     orElse(p.Alt, orElse(caption, "A picture without a description")),
		// Base64 has no letter that would have to be escaped between quotes.
		Source: template.HTMLAttr(`src="data:image/jpeg;base64,` + base64.StdEncoding.EncodeToString(p.JPEG) + `"`),
		Width:  head.Width,
		Height: head.Height,
	}
}

// showAll gives those that are pictures.
func showAll(all []Picture) (fit []shown) {
	for i := range all {
		if s := show(&all[i]); s != nil {
			fit = append(fit, *s)
		}
	}
	return fit
}
