package piece

import (
	"bytes"
	"encoding/binary"
	"encoding/gob"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"math"

	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/look"
	"socle/out/inspect"
	"socle/out/page"
	"socle/parts"
	"socle/scenes"
	"socle/sdf/mesh"
)

// A piece that was made is kept as bytes in two records: what it is, and how it was
// drawn. The first serves all drawings of it. A record is no format for anyone else:
// only the same socle reads it, and who keeps it sees that it is whole.

// solidRecord is a proven solid with what the inspection found.
type solidRecord struct {
	Vertices, Triangles []byte // little end first
	Proof               mesh.Proof
	Crumbs              []mesh.Crumb
	Stats               mesh.Stats
	Inspection          []byte // JSON, which tells a zero from nothing
}

// inspectionRecord is an inspection, less what only serves the making.
type inspectionRecord struct {
	Findings []finding.Finding
	Estimate inspect.Estimate
	Measured inspection.Measured
	Mended   []finding.Finding `json:",omitempty"`
}

// record is an inspection to be kept.
func record(i *inspection.Inspection) inspectionRecord {
	return inspectionRecord{i.Findings, i.Estimate, i.Measured, i.Mended}
}

// lookRecord is how a piece was drawn.
type lookRecord struct {
	Shots  []shotRecord
	Thumb  imageRecord
	Life   *imageRecord // nil where there is none
	Places map[int]page.Picture
	Solid  *page.Solid
}

type shotRecord struct {
	Name  string
	PNG   []byte
	Small page.Picture
}

// imageRecord is an image, row by row.
type imageRecord struct {
	Width, Height int
	Pix           []byte
}

// encodeSolid gives the record of a piece without what was drawn of it. It fails
// where there is no solid.
func encodeSolid(m Result) ([]byte, error) {
	if m.Err != nil || m.Solid == nil || m.Inspection == nil {
		return nil, errors.New("only a piece that was proven and inspected can be kept")
	}
	inspected, err := json.Marshal(record(m.Inspection))
	if err != nil {
		return nil, err
	}
	return asGob(solidRecord{
		Vertices: packVertices(m.Solid.Vertices), Triangles: packTriangles(m.Solid.Triangles),
		Proof: m.Solid.Proof, Crumbs: m.Solid.Crumbs, Stats: m.Solid.Stats, Inspection: inspected,
	})
}

// decodeSolid reads what encodeSolid gave.
func decodeSolid(data []byte) (Result, error) {
	var r solidRecord
	if err := fromGob(data, &r); err != nil {
		return Result{}, err
	}
	var i inspectionRecord
	if err := json.Unmarshal(r.Inspection, &i); err != nil {
		return Result{}, err
	}
	for _, f := range i.Mended {
		if f.Severity != parts.SeverityNote || f.Check != string(inspect.Neck.Check()) || f.At == nil {
			return Result{}, errors.New("it tells of a neck that was mended, and is no note of one")
		}
	}
	s := &mesh.Solid{Proof: r.Proof, Crumbs: r.Crumbs, Stats: r.Stats}
	s.Vertices, s.Triangles = unpackVertices(r.Vertices), unpackTriangles(r.Triangles)
	for _, t := range s.Triangles {
		if int(max(t[0], t[1], t[2])) >= len(s.Vertices) {
			return Result{}, fmt.Errorf("a triangle of vertex %d, of %d", max(t[0], t[1], t[2]), len(s.Vertices))
		}
	}
	return Result{Solid: s, Inspection: &inspection.Inspection{Findings: i.Findings, Estimate: i.Estimate, Measured: i.Measured, Mended: i.Mended}}, nil
}

// encodeLook gives the record of what was drawn.
func encodeLook(l *look.Drawn) ([]byte, error) {
	r := lookRecord{Places: l.Places, Solid: l.Solid}
	for _, s := range l.Shots {
		r.Shots = append(r.Shots, shotRecord{s.Name, s.Png, s.Small})
	}
	thumb, err := packImage(l.Thumb)
	if err != nil {
		return nil, err
	}
	r.Thumb = *thumb
	if l.Life != nil {
		if r.Life, err = packImage(l.Life); err != nil {
			return nil, err
		}
	}
	return asGob(r)
}

// packImage gives the record of an image.
func packImage(img image.Image) (*imageRecord, error) {
	m, ok := img.(*image.RGBA)
	if !ok {
		return nil, fmt.Errorf("an image of %T", img)
	}
	size := m.Rect.Size()
	r := &imageRecord{size.X, size.Y, make([]byte, 0, 4*size.X*size.Y)}
	for y := range size.Y {
		at := y * m.Stride
		r.Pix = append(r.Pix, m.Pix[at:at+4*size.X]...)
	}
	return r, nil
}

// unpackImage reads what packImage gave.
func unpackImage(r *imageRecord) (*image.RGBA, error) {
	if most := len(r.Pix); r.Width <= 0 || r.Height <= 0 || r.Width > most || r.Height > most || 4*r.Width*r.Height != most {
		return nil, fmt.Errorf("an image of %d x %d pixels in %d bytes", r.Width, r.Height, len(r.Pix))
	}
	return &image.RGBA{Pix: r.Pix, Stride: 4 * r.Width, Rect: image.Rect(0, 0, r.Width, r.Height)}, nil
}

// decodeLook reads what encodeLook gave.
func decodeLook(data []byte) (*look.Drawn, error) {
	var r lookRecord
	if err := fromGob(data, &r); err != nil {
		return nil, err
	}
	thumb, err := unpackImage(&r.Thumb)
	if err != nil {
		return nil, err
	}
	if size := thumb.Rect.Size(); size != image.Pt(look.ThumbWidth, look.ThumbHeight) {
		return nil, fmt.Errorf("a thumbnail of %v pixels", size)
	}
	l := &look.Drawn{Places: r.Places, Solid: r.Solid}
	if l.Places == nil {
		l.Places = map[int]page.Picture{}
	}
	l.Thumb = thumb
	if r.Life != nil {
		life, err := unpackImage(r.Life)
		if err != nil {
			return nil, err
		}
		l.Life = life
	}
	named := map[string]bool{}
	for _, s := range r.Shots {
		if err := scenes.CheckName(s.Name); err != nil || named[s.Name] {
			return nil, fmt.Errorf("a picture called %q", s.Name)
		}
		named[s.Name] = true
		l.Shots = append(l.Shots, look.Shot{Name: s.Name, Png: s.PNG, Small: s.Small})
	}
	return l, nil
}

// pieceRecord is a whole piece, to be sent.
type pieceRecord struct{ Solid, Look []byte }

// EncodeRecord gives all of a piece as bytes: encodeSolid and, where it was drawn,
// encodeLook.
func EncodeRecord(m Result) ([]byte, error) {
	var r pieceRecord
	var err error
	if r.Solid, err = encodeSolid(m); err == nil && m.Drawn != nil {
		r.Look, err = encodeLook(m.Drawn)
	}
	if err != nil {
		return nil, err
	}
	return asGob(r)
}

// DecodeRecord reads what EncodeRecord gave.
func DecodeRecord(data []byte) (Result, error) {
	var r pieceRecord
	if err := fromGob(data, &r); err != nil {
		return Result{}, err
	}
	m, err := decodeSolid(r.Solid)
	if err == nil && r.Look != nil {
		m.Drawn, err = decodeLook(r.Look)
	}
	return m, err
}

func asGob(v any) ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(v)
	return b.Bytes(), err
}

// fromGob reads bytes of any making: a breakdown of the reader is an error.
func fromGob(data []byte, into any) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("unreadable: %v", fault)
		}
	}()
	return gob.NewDecoder(bytes.NewReader(data)).Decode(into)
}

const tripleSize = 12 // bytes of three coordinates, or three corners

func packVertices(all [][3]float32) []byte {
	to := make([]byte, 0, tripleSize*len(all))
	for _, v := range all {
		for _, c := range v {
			to = binary.LittleEndian.AppendUint32(to, math.Float32bits(c))
		}
	}
	return to
}

func packTriangles(all [][3]uint32) []byte {
	to := make([]byte, 0, tripleSize*len(all))
	for _, t := range all {
		for _, c := range t {
			to = binary.LittleEndian.AppendUint32(to, c)
		}
	}
	return to
}

func unpackVertices(from []byte) [][3]float32 {
	all := make([][3]float32, len(from)/tripleSize)
	for i := range all {
		for k := range 3 {
			all[i][k] = math.Float32frombits(binary.LittleEndian.Uint32(from[tripleSize*i+4*k:]))
		}
	}
	return all
}

func unpackTriangles(from []byte) [][3]uint32 {
	all := make([][3]uint32, len(from)/tripleSize)
	for i := range all {
		for k := range 3 {
			all[i][k] = binary.LittleEndian.Uint32(from[tripleSize*i+4*k:])
		}
	}
	return all
}
