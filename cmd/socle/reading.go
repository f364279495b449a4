package main

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

// sceneExt ends the name of a scene file.
const sceneExt = ".toml"

// sceneName is what the files of a scene are called after.
func sceneName(arg string) (string, error) {
	if arg == "-" {
		return "scene", nil
	}
	name := strings.TrimSuffix(filepath.Base(arg), sceneExt)
	if !isFile(arg) {
		return name, nil // there is more to say than that its name is none
	}
	return name, scenes.CheckSceneName(name)
}

// readScene is the reading of openScene, which waits for what a pipe or a terminal has
// to say.
func readScene(in io.Reader, arg string, sets []string, printer string) (*scenes.Scene, error) {
	on, err := openPrinter(printer)
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
	case !isFile(arg) && slices.Contains(scenes.Shipped(), arg):
		text, err := scenes.Open(arg)
		if err != nil {
			return nil, err
		}
		return scenes.Read(arg+sceneExt, text, sets, scenes.On(on))
	}
	read, err := scenes.ReadFile(arg, sets, scenes.On(on))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, noScene(arg)
	}
	return read, err
}

// openPrinter opens the file of --printer; "" is none: the scene's own.
func openPrinter(path string) (*scenes.PrinterFile, error) {
	if path == "" {
		return nil, nil
	}
	on, err := scenes.OpenPrinter(path)
	if err != nil {
		return nil, fmt.Errorf("--printer: %w", err)
	}
	return on, nil
}

// noScene says that there is no such scene, and what the nearest one is.
func noScene(arg string) error {
	if isFile(arg + sceneExt) {
		return fmt.Errorf("there is no file %s; did you mean %q?", arg, arg+sceneExt)
	}
	if strings.ContainsAny(arg, `/\`) {
		return fmt.Errorf("there is no file %s", arg)
	}
	_, err := scenes.Open(arg)
	return fmt.Errorf("there is no file %s, and %w", arg, err)
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

// isPipe says that what stands there can be read once only.
func isPipe(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.Mode().IsRegular() && !info.IsDir()
}

// printerText is what is in the printer's own file; nil where there is none.
func (c *Selection) printerText() ([]byte, error) {
	if c.Printer == "" {
		return nil, nil
	}
	return plainfile.Read(c.Printer, scenes.MaxSize)
}
