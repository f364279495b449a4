//go:build !darwin && !linux

package vary

import (
	"io/fs"
	"os"
)

// lockFile does nothing: what stands in the file is compared before it is replaced.
func lockFile(*os.File) error { return nil }

// LinksOf is how many hard links a file has, as far as is known.
func LinksOf(fs.FileInfo) int { return 1 }
