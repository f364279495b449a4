package out

import (
	"archive/zip"
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// The parts of a 3MF package and the names in it. Source: 3MF Core
// Specification 1.4.0 (ISO/IEC 25422:2025), chapters 2 to 4 and appendix C.
const (
	threeMFModel = "3D/3dmodel.model"

	threeMFTypes = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
`
	threeMFRels = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/` + threeMFModel + `"/>
</Relationships>
`
	threeMFOpen = `<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
`
)

// zipTime stands in every entry, so that the same set is the same bytes: the
// first time that a ZIP can hold.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Meta is what a 3MF file says of itself; an empty text is left out. The names
// are those of the core specification, 3.4.1.
type Meta struct {
	Title       string
	Designer    string
	Description string
	Application string
}

// ThreeMF writes a set as one 3MF file: each mesh a named object and a build
// item of its own, laid out on the plate without overlap. Meshes are written as
// they come and not kept, so a set may be larger than memory.
//
// A fault of the stream stays: every later call gives it again.
type ThreeMF struct {
	zip   *zip.Writer
	model *bufio.Writer
	line  []byte
	boxes []extent
	spots []Spot // of those that have a place of their own
	names map[string]bool
	err   error
}

// NewThreeMF begins a 3MF file on w.
func NewThreeMF(w io.Writer, meta Meta) (*ThreeMF, error) {
	t := &ThreeMF{zip: zip.NewWriter(w), names: map[string]bool{}}
	for _, p := range []struct{ name, text string }{
		{"[Content_Types].xml", threeMFTypes},
		{"_rels/.rels", threeMFRels},
	} {
		e, err := t.entry(p.name)
		if err == nil {
			_, err = io.WriteString(e, p.text)
		}
		if err != nil {
			return nil, fmt.Errorf("3mf: %w", err)
		}
	}
	e, err := t.entry(threeMFModel)
	if err != nil {
		return nil, fmt.Errorf("3mf: %w", err)
	}
	t.model = bufio.NewWriterSize(e, 1<<16)
	t.model.WriteString(threeMFOpen)
	for _, m := range []struct{ name, text string }{
		{"Title", meta.Title},
		{"Designer", meta.Designer},
		{"Description", meta.Description},
		{"Application", meta.Application},
	} {
		if m.text != "" {
			fmt.Fprintf(t.model, "<metadata name=%q>%s</metadata>\n", m.name, escaped(m.text))
		}
	}
	t.model.WriteString("<resources>\n")
	return t, nil
}

func (t *ThreeMF) entry(name string) (io.Writer, error) {
	return t.zip.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: zipTime})
}

// AddAt is Add with a place on the plate for the mesh's origin. Either all meshes of a
// file have one, or none.
func (t *ThreeMF) AddAt(name string, vertices [][3]float32, triangles [][3]uint32, at Spot) error {
	if t.err == nil && len(t.spots) < len(t.boxes) {
		t.err = fmt.Errorf("3mf: %s: others have no place of their own", name)
	}
	t.spots = append(t.spots, at)
	return t.Add(name, vertices, triangles)
}

// Add writes one mesh under a name that no other of the set has. Its
// coordinates are written as they are, each as the shortest text that reads
// back as the same float32; the place on the plate is the item's transform.
func (t *ThreeMF) Add(name string, vertices [][3]float32, triangles [][3]uint32) error {
	if t.err == nil {
		if t.err = t.add(name, vertices, triangles); t.err != nil {
			t.err = fmt.Errorf("3mf: %s: %w", name, t.err)
		}
	}
	return t.err
}

func (t *ThreeMF) add(name string, vertices [][3]float32, triangles [][3]uint32) error {
	if t.names[name] {
		return fmt.Errorf("the set has two of that name")
	}
	if err := checkPlain(vertices, triangles); err != nil {
		return err
	}
	t.names[name] = true
	t.boxes = append(t.boxes, extentOf(vertices))
	fmt.Fprintf(t.model, "<object id=\"%d\" type=\"model\" name=\"%s\">\n<mesh>\n<vertices>\n", len(t.boxes), escaped(name))
	for _, v := range vertices {
		b := append(t.line[:0], `<vertex x="`...)
		b = appendShortest(b, v[0])
		b = append(b, `" y="`...)
		b = appendShortest(b, v[1])
		b = append(b, `" z="`...)
		b = appendShortest(b, v[2])
		t.line = append(b, "\"/>\n"...)
		if _, err := t.model.Write(t.line); err != nil {
			return err
		}
	}
	t.model.WriteString("</vertices>\n<triangles>\n")
	for _, v := range triangles {
		b := append(t.line[:0], `<triangle v1="`...)
		b = strconv.AppendUint(b, uint64(v[0]), 10)
		b = append(b, `" v2="`...)
		b = strconv.AppendUint(b, uint64(v[1]), 10)
		b = append(b, `" v3="`...)
		b = strconv.AppendUint(b, uint64(v[2]), 10)
		t.line = append(b, "\"/>\n"...)
		if _, err := t.model.Write(t.line); err != nil {
			return err
		}
	}
	_, err := t.model.WriteString("</triangles>\n</mesh>\n</object>\n")
	return err
}

// Close lays the set out and ends the file; it does not close what it is
// written on.
func (t *ThreeMF) Close() error {
	if t.err != nil {
		return t.err
	}
	t.model.WriteString("</resources>\n<build>\n")
	for i, at := range t.places() {
		fmt.Fprintf(t.model, "<item objectid=\"%d\" transform=\"%s\"/>\n", i+1, at)
	}
	t.model.WriteString("</build>\n</model>\n")
	if t.err = t.model.Flush(); t.err == nil {
		t.err = t.zip.Close()
	}
	if t.err != nil {
		t.err = fmt.Errorf("3mf: %w", t.err)
	}
	return t.err
}

// places gives the transform of each mesh: twelve numbers, row by row, that a point
// written as a row is multiplied by (3MF Core 3.3).
func (t *ThreeMF) places() []string {
	all := make([]string, len(t.boxes))
	if len(t.spots) == 0 {
		for i, move := range layOut(t.boxes) {
			all[i] = fmt.Sprintf("1 0 0 0 1 0 0 0 1 %s %s %s", decimal(move[0]), decimal(move[1]), decimal(move[2]))
		}
		return all
	}
	for i, at := range t.spots {
		sin, cos := at.turned()
		all[i] = fmt.Sprintf("%s %s 0 %s %s 0 0 0 1 %s %s %s", decimal(cos), decimal(sin), decimal(-sin), decimal(cos),
			decimal(at.X), decimal(at.Y), decimal(-t.boxes[i].lo[2]))
	}
	return all
}

// appendShortest writes the shortest decimal that reads back as v; -0 as 0.
func appendShortest(b []byte, v float32) []byte {
	return strconv.AppendFloat(b, float64(v)+0, 'g', -1, 32)
}

func decimal(v float64) string { return strconv.FormatFloat(v+0, 'g', -1, 64) }

// escaped makes text safe between tags and within quotes.
func escaped(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a Builder does not fail
	return b.String()
}
