package output

import (
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
)

// WriteJSON writes one document.
func WriteJSON(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(doc)
}

// Within is a file's place in a folder, with slashes.
func Within(dir, file string) string {
	return strings.TrimPrefix(file, strings.TrimSuffix(filepath.ToSlash(filepath.Clean(dir)), "/")+"/")
}
