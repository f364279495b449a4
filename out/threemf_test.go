package out

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// modelXML is the model part as encoding/xml reads it.
type modelXML struct {
	XMLName  xml.Name `xml:"http://schemas.microsoft.com/3dmanufacturing/core/2015/02 model"`
	Unit     string   `xml:"unit,attr"`
	Metadata []struct {
		Name string `xml:"name,attr"`
		Text string `xml:",chardata"`
	} `xml:"metadata"`
	Objects []struct {
		ID       int    `xml:"id,attr"`
		Name     string `xml:"name,attr"`
		Type     string `xml:"type,attr"`
		Vertices []struct {
			X string `xml:"x,attr"`
			Y string `xml:"y,attr"`
			Z string `xml:"z,attr"`
		} `xml:"mesh>vertices>vertex"`
		Triangles []struct {
			V1 uint32 `xml:"v1,attr"`
			V2 uint32 `xml:"v2,attr"`
			V3 uint32 `xml:"v3,attr"`
		} `xml:"mesh>triangles>triangle"`
	} `xml:"resources>object"`
	Items []struct {
		ObjectID  int    `xml:"objectid,attr"`
		Transform string `xml:"transform,attr"`
	} `xml:"build>item"`
}

func readModel(t require.TestingT, b []byte) (m modelXML) {
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	require.NoError(t, err)
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		if f.Name == threeMFModel {
			require.NoError(t, xml.Unmarshal(text, &m))
		}
	}
	require.Equal(t, []string{"[Content_Types].xml", "_rels/.rels", threeMFModel}, names)
	return m
}

func writeSet(t require.TestingT, meta Meta, names []string, shapes []shape) []byte {
	var b bytes.Buffer
	set, err := NewThreeMF(&b, meta)
	require.NoError(t, err)
	for i, s := range shapes {
		require.NoError(t, set.Add(names[i], s.vertices, s.triangles))
	}
	require.NoError(t, set.Close())
	return b.Bytes()
}

func TestThreeMFHoldsTheSet(t *testing.T) {
	names := []string{"walker", `a "<quoted>" & odd`, "ring"}
	shapes := []shape{cube([3]float32{-3, -2, 0}, [3]float32{5, 7, 4}), tetrahedron(10), torus(40, 24, 20, 6)}
	meta := Meta{Title: "Quay & <Mole>", Description: "three", Application: "test"}
	b := writeSet(t, meta, names, shapes)
	m := readModel(t, b)
	require.Equal(t, "millimeter", m.Unit)
	var said []string
	for _, d := range m.Metadata {
		said = append(said, d.Name+"="+d.Text)
	}
	require.Equal(t, []string{"Title=Quay & <Mole>", "Description=three", "Application=test"}, said)
	require.Len(t, m.Objects, len(shapes))
	require.Len(t, m.Items, len(shapes))
	for i, o := range m.Objects {
		require.Equal(t, names[i], o.Name)
		require.Equal(t, "model", o.Type)
		require.Equal(t, o.ID, m.Items[i].ObjectID)
		require.Len(t, o.Vertices, len(shapes[i].vertices))
		for k, v := range o.Vertices {
			for c, text := range []string{v.X, v.Y, v.Z} {
				back, err := strconv.ParseFloat(text, 32)
				require.NoError(t, err)
				require.Equal(t, shapes[i].vertices[k][c], float32(back))
			}
		}
		for k, v := range o.Triangles {
			require.Equal(t, shapes[i].triangles[k], [3]uint32{v.V1, v.V2, v.V3})
		}
	}
	require.Equal(t, b, writeSet(t, meta, names, shapes), "the same set is the same bytes")
}

func TestThreeMFRefusesTwoOfAName(t *testing.T) {
	var b bytes.Buffer
	set, err := NewThreeMF(&b, Meta{})
	require.NoError(t, err)
	s := tetrahedron(1)
	require.NoError(t, set.Add("x", s.vertices, s.triangles))
	require.ErrorContains(t, set.Add("x", s.vertices, s.triangles), "two of that name")
}

func TestShortestReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float32().Draw(t, "v")
		back, err := strconv.ParseFloat(string(appendShortest(nil, v)), 32)
		require.NoError(t, err)
		require.Equal(t, v+0, float32(back))
	})
	require.Equal(t, "0", string(appendShortest(nil, float32(math.Copysign(0, -1)))), "-0 is 0")
}

func TestPlate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		boxes := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) (e extent) {
			for k := range 3 {
				e.lo[k] = rapid.Float64Range(-200, 200).Draw(t, "lo")
				e.hi[k] = e.lo[k] + rapid.Float64Range(0.1, 180).Draw(t, "side")
			}
			return e
		}), 1, 40).Draw(t, "boxes")
		moves := layOut(boxes)
		for i, m := range moves {
			for k := range 3 {
				require.GreaterOrEqual(t, boxes[i].lo[k]+m[k], 0.0, "positive octant")
			}
			require.Zero(t, boxes[i].lo[2]+m[2])
			for j := range i {
				free := false
				for k := range 2 {
					free = free || boxes[i].lo[k]+m[k] >= boxes[j].hi[k]+moves[j][k]+plateGap ||
						boxes[j].lo[k]+moves[j][k] >= boxes[i].hi[k]+m[k]+plateGap
				}
				require.True(t, free, "%d and %d come too close", i, j)
			}
		}
	})
}

func TestThreeMFOnAFullDisk(t *testing.T) {
	s := torus(60, 60, 20, 6)
	write := func(room int) error {
		set, err := NewThreeMF(&smallDisk{room: room}, Meta{Title: "x"})
		if err != nil {
			return err
		}
		if err := set.Add("ring", s.vertices, s.triangles); err != nil {
			return err
		}
		return set.Close()
	}
	whole := len(writeSet(t, Meta{Title: "x"}, []string{"ring"}, []shape{s}))
	require.NoError(t, write(whole))
	for room := 0; room < whole; room += 997 {
		require.ErrorIs(t, write(room), errFull, "with room for %d of %d bytes", room, whole)
	}
	require.ErrorIs(t, write(whole-1), errFull)
}

// TestThreeMFStreams writes a set far larger than what may be held back.
func TestThreeMFStreams(t *testing.T) {
	s := torus(100, 100, 20, 6)
	var count counter
	set, err := NewThreeMF(&count, Meta{})
	require.NoError(t, err)
	var before int
	for i := range 4 {
		require.NoError(t, set.Add(fmt.Sprint(i), s.vertices, s.triangles))
		require.Greater(t, int(count), before, "a mesh was held back")
		before = int(count)
	}
	require.NoError(t, set.Close())
}

type counter int

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}

func TestNumbersAreOfTheSchema(t *testing.T) {
	// ST_Number of the core specification's schema.
	for _, v := range []float32{0, -1, 1e-7, 3.4e38, 123456.78, -0.1} {
		text := string(appendShortest(nil, v))
		require.Regexp(t, `^((\-|\+)?(([0-9]+(\.[0-9]+)?)|(\.[0-9]+))((e|E)(\-|\+)?[0-9]+)?)$`, text)
		require.False(t, strings.ContainsAny(text, " ,"))
	}
}
