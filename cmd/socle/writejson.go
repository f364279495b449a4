package main

import (
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
)

// writeJSON writes one document.
func writeJSON(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(doc)
}

// within is a file's place in a folder, with slashes.
func within(dir, file string) string {
	return strings.TrimPrefix(file, strings.TrimSuffix(filepath.ToSlash(filepath.Clean(dir)), "/")+"/")
}
