// Package catalogue writes the catalogue of parts as one HTML file that needs nothing else:
// each kind with a picture, its symbol on the plan, an example to copy, and its keys. What it
// says is given to it in plain values.
package catalogue

import (
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"strconv"

	"socle/out/page"
)

// Catalogue is all that a page tells. Texts are plain; the page escapes them.
type Catalogue struct {
	Title  string
	Lead   string // in a sentence or two
	Around string // the scene that the examples stand in, "" for none
	Groups []Group
	Made   string // by what
}

// Group is what kinds are told under.
type Group struct {
	Name  string
	Kinds []Kind
}

// Kind is a kind of part.
type Kind struct {
	Word, Doc string
	Written   string // "[[stair]]"
	Example   string // "" where it has none
	Picture   []byte // a JPEG or a PNG; nil for none
	Plan      []byte // an SVG document; nil for none
	Alt       string // what the picture shows, for those who do not see it
	Keys      []Key
	Note      string // how values are written; "" for nothing
}

// Key is one key of a kind: "area.rect" is a key of the table area.
type Key struct{ Path, Value, Default, Range, Doc, Choices, Source string }

//go:embed catalogue.html.tmpl
var templateText string

//go:embed catalogue.css
var styleText string

var pageTemplate = page.Template("catalogue", templateText)

// order is a catalogue as the template wants it.
type order struct {
	*Catalogue
	page.Dress
	Extra    template.CSS // what this page has beyond the report's style
	Arranged []group
}

type group struct {
	ID, Name string
	Kinds    []kind
}

type kind struct {
	Kind
	ID      string
	Shown   *page.Embedded
	Drawing template.HTMLAttr // src="data:..."; "" for none
}

// Write writes the page, in UTF-8. It fails only where w does. What cannot be shown is left
// out.
func Write(w io.Writer, c *Catalogue) error {
	o := &order{Catalogue: c, Dress: page.Dressed(), Extra: template.CSS(styleText)}
	for i, g := range c.Groups {
		made := group{ID: "group-" + strconv.Itoa(i+1), Name: g.Name}
		for _, k := range g.Kinds {
			shown := kind{Kind: k, ID: "part-" + k.Word, Shown: page.Embed(k.Picture, "", k.Alt)}
			if k.Plan != nil {
				// Base64 has no letter that would have to be escaped between quotes.
				shown.Drawing = template.HTMLAttr(`src="data:image/svg+xml;base64,` + base64.StdEncoding.EncodeToString(k.Plan) + `"`)
			}
			made.Kinds = append(made.Kinds, shown)
		}
		o.Arranged = append(o.Arranged, made)
	}
	return pageTemplate.Execute(w, o)
}
