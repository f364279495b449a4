package set

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"socle/out/plainfile"
	"socle/scenes"
)

// Ext ends the name of a scene file.
const Ext = ".toml"

// NameOf is what the files of a scene are called after.
func NameOf(arg string) (string, error) {
	if arg == "-" {
		return "scene", nil
	}
	name := strings.TrimSuffix(filepath.Base(arg), Ext)
	if !IsFile(arg) {
		return name, nil // there is more to say than that its name is none
	}
	return name, scenes.CheckSceneName(name)
}

// readFrom is the reading of Open, which waits for what a pipe or a terminal has
// to say.
func readFrom(in io.Reader, arg string, sets []string, printer string) (*scenes.Scene, error) {
	on, err := OpenPrinter(printer)
	if err != nil {
		return nil, err
	}
	switch {
	case arg == "-":
		text, err := io.ReadAll(io.LimitReader(in, scenes.MaxSize+1))
		if err != nil {
			return nil, err
		}
		return scenes.Read("stdin", text, sets, scenes.On(on))
	case !IsFile(arg) && slices.Contains(scenes.Shipped(), arg):
		text, err := scenes.Open(arg)
		if err != nil {
			return nil, err
		}
		return scenes.Read(arg+Ext, text, sets, scenes.On(on))
	}
	read, err := scenes.ReadFile(arg, sets, scenes.On(on))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, NotFound(arg)
	}
	return read, err
}

// OpenPrinter opens the file of --printer; "" is none: the scene's own.
func OpenPrinter(path string) (*scenes.PrinterFile, error) {
	if path == "" {
		return nil, nil
	}
	on, err := scenes.OpenPrinter(path)
	if err != nil {
		return nil, fmt.Errorf("--printer: %w", err)
	}
	return on, nil
}

// NotFound says that there is no such scene, and what the nearest one is.
func NotFound(arg string) error {
	if IsFile(arg + Ext) {
		return fmt.Errorf("there is no file %s; did you mean %q?", arg, arg+Ext)
	}
	if strings.ContainsAny(arg, `/\`) {
		return fmt.Errorf("there is no file %s", arg)
	}
	_, err := scenes.Open(arg)
	return fmt.Errorf("there is no file %s, and %w", arg, err)
}

func IsFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

// IsPipe says that what stands there can be read once only.
func IsPipe(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.Mode().IsRegular() && !info.IsDir()
}

// PrinterText is what is in the printer's own file; nil where there is none.
func (s *Selection) PrinterText() ([]byte, error) {
	if s.Printer == "" {
		return nil, nil
	}
	return plainfile.Read(s.Printer, scenes.MaxSize)
}
