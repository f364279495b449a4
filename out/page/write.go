package page

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"strings"
)

//go:embed page.html.tmpl
var templateText string

//go:embed style.css
var styleText string

//go:embed page.js
var scriptText string

var pageTemplate = template.Must(template.New("page").Parse(templateText))

// Write writes the page, in UTF-8. It fails only where w does. What cannot be shown,
// as a picture that is no JPEG, is left out.
func Write(w io.Writer, r *Report) error {
	if r == nil {
		r = &Report{}
	}
	o := arrange(r)
	o.Dress = Dressed(orbitScript, scriptText)
	return pageTemplate.Execute(w, o)
}

// Template makes the template of another page, which shares the pieces of the report's.
func Template(name, text string) *template.Template {
	return template.Must(template.Must(pageTemplate.Clone()).New(name).Parse(text))
}

// Dress is what every page has: its style, its scripts, and the policy under which nothing
// else runs and nothing is fetched (Content Security Policy Level 3).
type Dress struct {
	Policy         string
	Style, Scripts template.HTML
}

// Dressed is the dress of a page with scripts, which the policy names by their hashes.
func Dressed(scripts ...string) Dress {
	allowed := "'none'"
	var elements strings.Builder
	for i, s := range scripts {
		sum := sha256.Sum256([]byte(s))
		hash := "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
		if i == 0 {
			allowed = hash
		} else {
			allowed += " " + hash
		}
		elements.WriteString("<script>" + s + "</script>\n")
	}
	return Dress{
		Policy:  "default-src 'none'; img-src data: blob:; style-src 'unsafe-inline'; script-src " + allowed + "; base-uri 'none'; form-action 'none'",
		Style:   template.HTML("<style>\n" + styleText + "</style>"),
		Scripts: template.HTML(elements.String()),
	}
}
