package cache

import (
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"sync"
)

// Tool tells this socle from any other that might make another piece of the same
// scene: by its release, or by the commit that it was built from with nothing changed,
// and the Go version; where there is neither, by the bytes of the program.
var Tool = sync.OnceValues(func() (string, error) {
	info := BuildInfo()
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	if commit := settings["vcs.revision"]; commit != "" && settings["vcs.modified"] == "false" {
		return "commit " + commit + " " + info.GoVersion, nil
	}
	if v := info.Main.Version; v != "" && v != "(devel)" && settings["vcs.modified"] != "true" {
		return "release " + v + " " + info.GoVersion, nil
	}
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", err
	}
	return fmt.Sprintf("program %x", sum.Sum(nil)), nil
})

// BuildInfo is what the build recorded of itself; nothing where it did not.
func BuildInfo() *debug.BuildInfo {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = &debug.BuildInfo{}
	}
	return info
}

// VersionLine says what the build recorded of itself: the module's version, the
// commit where there is one, and the Go version.
func VersionLine(info *debug.BuildInfo) string {
	version := info.Main.Version
	if version == "" || version == "(devel)" {
		version = "(not a release)"
	}
	line := "socle " + version
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	if commit := settings["vcs.revision"]; commit != "" {
		line += ", commit " + commit[:min(12, len(commit))]
		if settings["vcs.modified"] == "true" {
			line += " with changes"
		}
	}
	if info.GoVersion != "" {
		line += ", " + info.GoVersion
	}
	if os, arch := settings["GOOS"], settings["GOARCH"]; os != "" {
		line += " " + os + "/" + arch
	}
	return line
}
