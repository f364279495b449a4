package catalogue

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

func written(t *testing.T, c *Catalogue) string {
	var b bytes.Buffer
	require.NoError(t, Write(&b, c))
	return b.String()
}

// Texts are escaped, whatever they hold; nothing runs, and nothing is fetched.
func TestTextsAreEscaped(t *testing.T) {
	evil := `</code><script src="http://x.test/a.js">"&'`
	text := written(t, &Catalogue{
		Title: evil, Lead: evil, Around: evil, Made: evil,
		Groups: []Group{{Name: evil, Kinds: []Kind{{
			Word: "post", Doc: evil, Written: evil, Example: evil, Alt: evil, Note: evil, Picture: []byte(evil), Plan: []byte("<svg/>"),
			Keys: []Key{{evil, evil, evil, evil, evil, evil, evil}},
		}}}},
	})
	require.NotContains(t, text, "<script")
	require.Contains(t, text, "script-src &#39;none&#39;")
	root, err := html.Parse(strings.NewReader(text))
	require.NoError(t, err)
	images := 0
	for n := range root.Descendants() {
		for _, a := range n.Attr {
			require.False(t, (a.Key == "src" || a.Key == "href") && !strings.HasPrefix(a.Val, "data:") && !strings.HasPrefix(a.Val, "#"), a.Val)
		}
		if n.Type == html.ElementNode && n.Data == "img" {
			images++
		}
	}
	require.Equal(t, 1, images, "what is no picture is left out")
}

func TestCatalogueOfNothing(t *testing.T) {
	require.Contains(t, written(t, &Catalogue{}), "</html>")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("full") }

func TestWriteTellsOfAFullDisk(t *testing.T) {
	require.ErrorContains(t, Write(full{}, &Catalogue{}), "full")
}
