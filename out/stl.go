package out

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strings"
)

// The binary STL layout: a header, a uint32 count, then for each facet twelve
// float32 (normal and three vertices) and a uint16 of attributes. Source:
// Burns, Automated Fabrication, 6.5, reprinting the StereoLithography Interface
// Specification (1989), and common format pages for the byte order.
const (
	stlHeader = 80
	stlFacet  = 50
)

// WriteSTL writes a binary STL, little-endian, in mm. The facet normals are of
// unit length and agree with the order of the vertices by the right-hand rule;
// attributes are 0. The title goes into the header, cut to what fits.
//
// It fails on a mesh that has a triangle without area or that checkPlain
// refuses, before anything is written, and on any fault of w.
func WriteSTL(w io.Writer, title string, vertices [][3]float32, triangles [][3]uint32) error {
	if err := checkPlain(vertices, triangles); err != nil {
		return fmt.Errorf("stl: %w", err)
	}
	for i, t := range triangles {
		if _, ok := unitNormal(vertices[t[0]], vertices[t[1]], vertices[t[2]]); !ok {
			return fmt.Errorf("stl: triangle %d has no area", i)
		}
	}
	b := bufio.NewWriterSize(w, 1<<16)
	head := stlTitle(title)
	b.Write(head[:])
	b.Write(binary.LittleEndian.AppendUint32(nil, uint32(len(triangles))))
	record := make([]byte, 0, stlFacet)
	for _, t := range triangles {
		p, q, r := vertices[t[0]], vertices[t[1]], vertices[t[2]]
		n, _ := unitNormal(p, q, r)
		record = record[:0]
		for _, v := range [...][3]float32{n, p, q, r} {
			for _, c := range v {
				record = binary.LittleEndian.AppendUint32(record, math.Float32bits(c))
			}
		}
		record = append(record, 0, 0)
		if _, err := b.Write(record); err != nil {
			return fmt.Errorf("stl: %w", err)
		}
	}
	if err := b.Flush(); err != nil { // holds the first fault of any Write above
		return fmt.Errorf("stl: %w", err)
	}
	return nil
}

// stlTitle is the header: plain ASCII that cannot be taken for the word that
// opens an ASCII STL, nor, without '=', for one of the colour marks that some
// readers look for.
func stlTitle(title string) (head [stlHeader]byte) {
	text := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || r == '=' {
			return '_'
		}
		return r
	}, "binary STL in mm: "+title)
	for i := copy(head[:], text); i < stlHeader; i++ {
		head[i] = ' '
	}
	return head
}

// unitNormal is the outward normal of a triangle that runs counter-clockwise
// seen from outside; ok is false where it has no area. In float64 no product of
// float32 sides overflows or is lost to underflow.
func unitNormal(p, q, r [3]float32) (n [3]float32, ok bool) {
	u, v := side(p, q), side(p, r)
	x := u[1]*v[2] - u[2]*v[1]
	y := u[2]*v[0] - u[0]*v[2]
	z := u[0]*v[1] - u[1]*v[0]
	l := math.Sqrt(x*x + y*y + z*z)
	if l == 0 {
		return n, false
	}
	return [3]float32{float32(x / l), float32(y / l), float32(z / l)}, true
}

// side is the vector from p to q.
func side(p, q [3]float32) (s [3]float64) {
	for k := range 3 {
		s[k] = float64(q[k]) - float64(p[k])
	}
	return s
}
