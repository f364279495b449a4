package page

import (
	"bytes"
	"cmp"
	"compress/flate"
	"context"
	_ "embed"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"html"
	"html/template"
	"math"
	"slices"
	"strings"

	"socle/out/decimate"
	"socle/out/picture"
)

// orbitScript turns the solids. It shows what it finds in the page, and leaves the
// page as it is where it cannot.
//
//go:embed orbit.js
var orbitScript string

// MostTurned is the most triangles that a solid in the page has; one with more is brought
// down to it: enough that joints
// between stones show, few enough that a set of a dozen stays below some 4 MB.
const MostTurned = 40_000

// orbit gives the figure in which a solid is turned, or "" where there is none. It
// is hidden until the script has found that the browser can show it; the pictures
// beside it stand in its place.
func orbit(s *Solid, id, name string) template.HTML {
	packed := packed(s)
	if packed == "" {
		return ""
	}
	id, name = html.EscapeString(id), html.EscapeString(name)
	var colours []string
	for _, t := range []picture.Tone{picture.Clay, picture.Broken, picture.Strewn, picture.Figure} {
		c := t.Colour()
		colours = append(colours, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B))
	}
	return template.HTML(fmt.Sprintf(`<figure class="orbit" id="%[1]s-turn" data-solid="%[1]s-solid" data-name="%[2]s" data-tones="%[3]s" hidden></figure>
<script type="application/octet-stream;base64" id="%[1]s-solid">%[4]s</script>`, id, name, strings.Join(colours, " "), packed))
}

// packed gives a solid of at most MostTurned as text: base64 of deflated bytes,
// some 5 characters a triangle; "" where there is nothing to show. The bytes, little
// end first:
//
//	uint32 vertices, uint32 triangles
//	float32 x6: the least and the greatest corner of the box, mm
//	of each vertex three zigzag varints: the step from the vertex before, in
//	    65535ths of the box
//	of each group of one tone: byte tone, varint triangles, and of each three of their
//	    corners a varint: how far it lies behind the next vertex not yet met, 0 for that
//	    vertex itself
func packed(s *Solid) string {
	if s == nil {
		return ""
	}
	m, err := decimate.To(context.Background(), s.Vertices, s.Triangles, s.Tones, MostTurned)
	if err != nil || len(m.Triangles) == 0 {
		return ""
	}
	lo, hi := m.Vertices[0], m.Vertices[0]
	for _, v := range m.Vertices {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], v[k]), max(hi[k], v[k])
		}
	}
	steps := func(v [3]float32) (q [3]int64) {
		for k := range 3 {
			if side := float64(hi[k]) - float64(lo[k]); side > 0 {
				q[k] = int64(math.Round((float64(v[k]) - float64(lo[k])) / side * math.MaxUint16))
			}
		}
		return q
	}

	order := byPlace(&m, steps)
	name := make([]uint32, len(m.Vertices)) // one more than its number, 0: not met
	var points, faces []byte
	var last [3]int64
	met := uint32(0)
	for i, k := range order {
		if tone := m.Tones[k]; i == 0 || tone != m.Tones[order[i-1]] {
			n := i
			for n < len(order) && m.Tones[order[n]] == tone {
				n++
			}
			faces = append(faces, tone)
			faces = binary.AppendUvarint(faces, uint64(n-i))
		}
		for _, v := range m.Triangles[k] {
			if name[v] == 0 {
				q := steps(m.Vertices[v])
				for j := range 3 {
					points = binary.AppendVarint(points, q[j]-last[j])
				}
				last = q
				faces = append(faces, 0)
				met++
				name[v] = met
				continue
			}
			faces = binary.AppendUvarint(faces, uint64(met-name[v]+1))
		}
	}

	head := binary.LittleEndian.AppendUint32(nil, met)
	head = binary.LittleEndian.AppendUint32(head, uint32(len(order)))
	for _, corner := range [][3]float32{lo, hi} {
		for _, x := range corner {
			head = binary.LittleEndian.AppendUint32(head, math.Float32bits(x))
		}
	}
	var small bytes.Buffer
	w, err := flate.NewWriter(&small, flate.BestCompression)
	if err != nil {
		return ""
	}
	for _, part := range [][]byte{head, points, faces} {
		w.Write(part) // into memory
	}
	w.Close()
	return base64.StdEncoding.EncodeToString(small.Bytes())
}

// byPlace orders triangles by tone, then along a curve through space (Morton 1966),
// so that those that follow each other are near.
func byPlace(m *decimate.Mesh, steps func([3]float32) [3]int64) []int {
	place := make([]uint64, len(m.Triangles))
	order := make([]int, len(m.Triangles))
	for i, t := range m.Triangles {
		var sum [3]int64
		for _, v := range t {
			q := steps(m.Vertices[v])
			for k := range 3 {
				sum[k] += q[k]
			}
		}
		for bit := range 16 {
			for k := range 3 {
				place[i] |= uint64(sum[k]/3>>bit&1) << (3*bit + k)
			}
		}
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(m.Tones[a], m.Tones[b]), cmp.Compare(place[a], place[b]), a-b)
	})
	return order
}
