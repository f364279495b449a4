package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The page of the catalogue is one file, the same for any number of processors, and tells
// as it is drawn.
func TestPageOfThePart(t *testing.T) {
	dir := t.TempDir()
	pages := map[string]string{}
	for _, processors := range []string{"1", "3"} {
		cmd := command(t, socle, "parts", "drum", "--page", filepath.Join("pages", processors)+string(filepath.Separator))
		cmd.Env = append(os.Environ(), "GOMAXPROCS="+processors)
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		require.Contains(t, r.err, "drum: drawn (1 of 1)")
		require.Contains(t, r.out, "catalogue.html: open it in a browser")
		text, err := os.ReadFile(filepath.Join(dir, "pages", processors, usualPage))
		require.NoError(t, err)
		pages[processors] = string(text)
	}
	require.True(t, pages["1"] == pages["3"])
	require.Contains(t, pages["1"], "data:image/png;base64,")
	require.Contains(t, pages["1"], "[[drum]]")
}

func TestPageLeavesNothingWhereItIsStopped(t *testing.T) {
	dir := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var told bytes.Buffer
	require.Equal(t, exitInterrupted, run(ctx, []string{"parts", "drum", "--page", filepath.Join(dir, "p.html")}, streams{in: strings.NewReader(""), out: &told, err: &told}))
	require.Contains(t, told.String(), "nothing was changed")
	require.Empty(t, filesIn(t, dir))
}

// What stands in the way of the page is told before anything is drawn.
func TestPageThatCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "taken"), nil, 0o644))
	r := runIn(t, dir, "parts", "drum", "--page", filepath.Join("taken", "p.html"))
	require.Equal(t, exitNotWritten, r.code, r.err)
	require.Contains(t, r.err, "is not a folder")
	require.NotContains(t, r.err, "drawn")
}

func TestPartsEndWithAnExample(t *testing.T) {
	r := runIn(t, t.TempDir(), "parts", "drum")
	require.Equal(t, exitDone, r.code, r.err)
	_, example, found := strings.Cut(r.out, "\n# An example")
	require.True(t, found)
	require.Contains(t, example, "\n[[drum]]\n")
}
