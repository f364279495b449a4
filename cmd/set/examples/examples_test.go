package examples

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/out/catalogue"
	"socle/parts"
	"socle/scenes"
	"socle/sdf/mesh"
)

// without is an example without the parts of a kind, and without those that name one.
func without(word, example string) string {
	var names []string
	tables := strings.Split(example, "\n\n")
	tables = slices.DeleteFunc(tables, func(table string) bool {
		lines := strings.Split(table, "\n")
		if lines[0] != "[["+word+"]]" && lines[0] != "["+word+"]" {
			return false
		}
		for _, l := range lines {
			if name, ok := strings.CutPrefix(l, "name = "); ok {
				names = append(names, name)
			}
		}
		return true
	})
	tables = slices.DeleteFunc(tables, func(table string) bool {
		return slices.ContainsFunc(names, func(name string) bool { return strings.Contains(table, name) })
	})
	return strings.Join(tables, "\n\n")
}

func TestWithout(t *testing.T) {
	require.Equal(t, "[[wall]]\na = 1", without("pit", "[[wall]]\na = 1\n\n[[pit]]\nname = \"p\"\n\n[[heap]]\nfrom = \"p\""))
}

// difference is the area of a solid's surface, in mm2, that lies so far or more off another
// solid.
func difference(t *testing.T, one, other *set.Set, off float64) (area float64) {
	p := &one.Pieces[0]
	o := one.MeshOptions(p)
	o.Cell, o.Tolerance = 1, -1 // without reduction
	solid, err := mesh.Build(context.Background(), p.Field, o)
	require.NoError(t, err)
	at := func(v uint32) r3.Vec {
		q := solid.Vertices[v]
		return r3.Vec{X: float64(q[0]), Y: float64(q[1]), Z: float64(q[2])}
	}
	for _, c := range solid.Triangles {
		a, b, c := at(c[0]), at(c[1]), at(c[2])
		middle := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
		if v := other.Pieces[0].Field.Value(middle); v >= off || v <= -off {
			area += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		}
	}
	return area
}

// Every kind has an example that reads, fits on its base and holds the kind; and the base
// shows the kind: without it, some of the surface would not be there.
func TestExamplesShowTheirKinds(t *testing.T) {
	const (
		off   = 0.1  // mm, about the least relief of a resin print (common practice, no source)
		least = 20.0 // mm2 of the surface, of some 1500 from above
	)
	for _, k := range parts.Kinds() {
		t.Run(k.Word, func(t *testing.T) {
			example := strings.Trim(k.Example, "\n")
			require.NotEmpty(t, example)
			require.LessOrEqual(t, strings.Count(example, "\n")+1-strings.Count(example, "\n\n"), 20, "lines")
			s, err := cut(k.Word, example)
			require.NoError(t, err)
			require.Len(t, s.Pieces, 1)
			require.Equal(t, "round 44", s.Pieces[0].Footprint)
			require.True(t, slices.ContainsFunc(s.Site.Parts, func(p parts.Part) bool { return parts.WordOf(p) == k.Word }))
			bare, err := cut(k.Word, without(k.Word, example))
			require.NoError(t, err)
			require.GreaterOrEqual(t, difference(t, s, bare, off), least)
		})
	}
}

// A base that does not show the kind is told from one that does.
func TestDifferenceIsNone(t *testing.T) {
	s, err := cut("nothing", "")
	require.NoError(t, err)
	require.Less(t, difference(t, s, s, 0.2), 0.5)
}

// quiet tells nobody.
type quiet struct{ names []string }

func (q *quiet) Heading(string) {}
func (q *quiet) Start(t set.Task) set.Bar {
	q.names = t.Names
	return q
}
func (q *quiet) At(int, float64)       {}
func (q *quiet) Made(int, bool, error) {}
func (q *quiet) Done(int, string)      {}
func (q *quiet) Tell(string)           {}
func (q *quiet) Finish()               {}

// all gives the elements of a page that satisfy a condition.
func all(n *html.Node, is func(*html.Node) bool) (found []*html.Node) {
	for d := range n.Descendants() {
		if d.Type == html.ElementNode && is(d) {
			found = append(found, d)
		}
	}
	return found
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// The page has every kind, with its example and a row for each of its keys, under ids that
// the contents lead to.
func TestPageTellsOfEveryKind(t *testing.T) {
	entries, err := scenes.PageEntries("")
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, catalogue.Write(&b, page(entries)))
	root, err := html.Parse(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)

	ids := map[string]*html.Node{}
	for _, n := range all(root, func(n *html.Node) bool { return attribute(n, "id") != "" }) {
		require.NotContains(t, ids, attribute(n, "id"))
		ids[attribute(n, "id")] = n
	}
	for _, n := range all(root, func(n *html.Node) bool { return n.Data == "a" }) {
		require.Contains(t, ids, strings.TrimPrefix(attribute(n, "href"), "#"))
	}
	require.Empty(t, all(root, func(n *html.Node) bool { return n.Data == "script" || n.Data == "link" }), "it runs and fetches nothing")

	for _, k := range parts.Kinds() {
		n := ids["part-"+k.Word]
		require.NotNil(t, n, k.Word)
		require.Contains(t, text(n), strings.Trim(k.Example, "\n"))
		rows := map[string]bool{}
		for _, r := range all(n, func(n *html.Node) bool { return n.Data == "th" && attribute(n, "scope") == "row" }) {
			rows[text(r)] = true
		}
		requireRows(t, k.Word, rows, text(n), k.Keys(), "")
	}
	var order []string
	for _, g := range page(entries).Groups {
		order = append(order, g.Name)
	}
	require.Subset(t, order, []string{"Structure", "Finishes", "Goods", "Damage", "Debris", "Trims", "Bases"})
}

func requireRows(t *testing.T, kind string, rows map[string]bool, told string, keys []parts.Key, path string) {
	for _, key := range keys {
		require.Contains(t, rows, path+key.Word, kind)
		require.Contains(t, told, key.Doc, kind)
		require.Contains(t, told, key.Source, kind)
		requireRows(t, kind, rows, told, key.Sub, path+key.Word+".")
	}
}

// What is drawn is told of as it is done, and stands on the page with words for those who do
// not see it.
func TestPageIsDrawn(t *testing.T) {
	var told quiet
	c, err := Page(context.Background(), "drum", "socle", &told)
	require.NoError(t, err)
	require.Equal(t, []string{"drum"}, told.names)
	var b bytes.Buffer
	require.NoError(t, catalogue.Write(&b, c))
	root, err := html.Parse(&b)
	require.NoError(t, err)
	pictures := all(root, func(n *html.Node) bool { return n.Data == "img" })
	require.Len(t, pictures, 2)
	require.Contains(t, attribute(pictures[0], "src"), "data:image/png;base64,")
	require.Equal(t, "360", attribute(pictures[0], "width"))
	require.Contains(t, attribute(pictures[1], "src"), "data:image/svg+xml;base64,")
	for _, p := range pictures {
		require.Contains(t, attribute(p, "alt"), "drum")
	}
}

func TestPageIsStopped(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := Page(ctx, "drum", "socle", &quiet{})
	require.ErrorIs(t, err, context.Canceled)
}
