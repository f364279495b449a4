// Package jobs splits a build over many machines: it writes a list of commands that make one
// piece each, and gathers the piece files that they wrote. What comes back is not trusted:
// every solid is proven and inspected again and held to the scene.
package jobs

import (
	"cmp"
	"context"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/cache"
	"socle/cmd/set/inspection"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/words"
	"socle/out/plainfile"
	"socle/scenes"
)

// jobsMark begins the list of jobs and tells its layout.
const jobsMark = "socle jobs 2"

// List is what a gather needs to know: all that the scene was read from, and the
// pieces that it is made of.
type List struct {
	Mark      string      `json:"mark"`
	Tool      string      `json:"tool"`
	Scene     string      `json:"scene"` // its name
	Text      string      `json:"text"`
	Printer   *string     `json:"printer,omitempty"` // text of --printer
	Set       []string    `json:"set,omitempty"`
	Setting   string      `json:"setting"`
	Cell      *float64    `json:"cell,omitempty"`      // mm, where given
	Tolerance *float64    `json:"tolerance,omitempty"` // mm, where given
	Formats   set.Formats `json:"formats"`
	Size      string      `json:"size"` // of pictures
	All       bool        `json:"all"`  // the scene and every variant, each in a folder
	Sets      []jobSet    `json:"sets"`

	// What commands are made of beside all this, as it was given.
	Program     string `json:"program"`
	ScenePath   string `json:"scene_path"`
	PrinterPath string `json:"printer_path,omitempty"`
	To          string `json:"to"`

	Check string `json:"check"` // SHA-256 of all the rest, hex
}

// Sum is what Check must be.
func (l List) Sum() (string, error) {
	l.Check = ""
	text, err := json.Marshal(l)
	return textSum(string(text)), err
}

// jobSet is the scene as it is, or a variant of it.
type jobSet struct {
	Variant string `json:"variant,omitempty"`
	Pieces  []job  `json:"pieces"`
}

// job is one piece to be made.
type job struct {
	Piece string `json:"piece"`
	Key   string `json:"key"`
}

const JobListFile = "jobs.json"

// Command is what the commands of jobs are made of beside the options of the build.
type Command struct {
	Program     string // path of socle where the commands are run
	Scene       string // path of the scene
	AllVariants bool   // the scene as it is and every variant, in place of one of them
}

// Write writes the list of jobs for a scene as it is, to build/SCENE-jobs where the
// options name no folder, and gives the commands, a line each.
func Write(ctx context.Context, s *set.Scene, o *build.Options, c Command, tell func(string)) ([]string, error) {
	l := List{
		Mark: jobsMark, Scene: s.Name, Text: s.Read.Text(), Set: o.Sets, Setting: o.Setting, Cell: o.Cell, Tolerance: o.Tolerance,
		Formats: o.Formats, Size: o.Size, All: c.AllVariants,
		Program: c.Program, ScenePath: c.Scene, PrinterPath: o.Printer, To: cmp.Or(o.To, filepath.Join("build", s.Name+"-jobs")),
	}
	if o.Printer != "" {
		text, err := plainfile.Read(o.Printer, scenes.MaxSize)
		if err != nil {
			return nil, set.AsFaulty(err)
		}
		l.Printer = new(string)
		*l.Printer = string(text)
	}
	var err error
	if l.Tool, err = cache.Tool(); err != nil {
		return nil, err
	}
	variants := []string{o.Variant}
	if l.All {
		variants = s.VariantNames()
	}
	var lines []string
	for _, v := range variants {
		set := jobSet{Variant: v}
		if err := l.add(ctx, &set); err != nil {
			return nil, err
		}
		l.Sets = append(l.Sets, set)
		for _, j := range set.Pieces {
			line, err := l.line(set.Variant, j.Piece)
			if err != nil {
				return nil, err
			}
			lines = append(lines, line)
		}
	}
	if l.Check, err = l.Sum(); err != nil {
		return nil, err
	}
	files := &output.Folder{Path: l.To, Tell: tell}
	defer files.Discard()
	if _, err = files.Add(JobListFile, func(w io.Writer) error { return output.WriteJSON(w, l) }); err == nil {
		_, err = files.Commit()
	}
	if err != nil {
		return nil, &set.Failure{Kind: set.NotWritten, Err: err}
	}
	return lines, nil
}

// add adds the jobs of the scene or one variant.
func (l *List) add(ctx context.Context, set *jobSet) error {
	s, err := l.cut(set.Variant)
	if err != nil {
		return err
	}
	if l.Formats.HoldStops(s.Scene) {
		if err := inspection.RefuseTooLarge(s); err != nil {
			return err
		}
	}
	for i := range s.Pieces {
		name := s.Pieces[i].Name
		key, err := piece.Key(ctx, s, &s.Pieces[i], l.options(set.Variant).For(s.Scene).Renderer(s))
		if err != nil {
			return err
		}
		set.Pieces = append(set.Pieces, job{Piece: name, Key: hex.EncodeToString(key[:])})
	}
	return nil
}

// open reads the scene of a list, or a variant, from what the list holds.
func (l *List) open(variant string) (*set.Scene, error) {
	var on *scenes.PrinterFile
	if l.Printer != nil {
		on = scenes.NewPrinter("printer", []byte(*l.Printer))
	}
	read, err := scenes.Read(l.Scene+set.Ext, []byte(l.Text), l.Set, scenes.On(on))
	if err != nil {
		return nil, set.AsFaulty(err)
	}
	s := set.New(l.Scene, read)
	if variant != "" {
		if s, err = s.Variant(variant); err != nil {
			return nil, err
		}
	}
	o := l.options(variant)
	return s, s.Settle(&o.Options)
}

// cut is open, with all bases cut out.
func (l *List) cut(variant string) (*set.Set, error) {
	s, err := l.open(variant)
	if err != nil {
		return nil, err
	}
	return s.Cut(nil)
}

// options are those that the list stands for.
func (l *List) options(variant string) build.Options {
	return build.Options{
		Options: set.Options{Selection: set.Selection{Sets: l.Set, Variant: variant}, Setting: l.Setting, Cell: l.Cell, Tolerance: l.Tolerance},
		Request: look.Request{Size: l.Size}, Formats: l.Formats,
	}
}

// pieceFile is the file of a piece, with slashes, from the folder of the list.
func pieceFile(variant, piece string) string {
	return cmp.Or(variant, scenes.AsItIs) + "/" + piece + ".piece"
}

// line is the command that makes one piece.
func (l *List) line(variant, piece string) (string, error) {
	args := []string{l.Program, "build", words.Operand(l.ScenePath)}
	for _, set := range l.Set {
		args = append(args, "--set", set)
	}
	if l.PrinterPath != "" {
		args = append(args, "--printer", l.PrinterPath)
	}
	if variant != "" {
		args = append(args, "--variant", variant)
	}
	args = append(args, "--base", piece, "--setting", l.Setting)
	if l.Cell != nil {
		args = append(args, "--cell", strconv.FormatFloat(*l.Cell, 'g', -1, 64))
	}
	if l.Tolerance != nil {
		args = append(args, "--tolerance", strconv.FormatFloat(*l.Tolerance, 'g', -1, 64))
	}
	args = append(args, "--format", strings.Join(l.Formats, ","))
	if l.Size != "" {
		args = append(args, "--size", l.Size)
	}
	file := filepath.Join(l.To, filepath.FromSlash(pieceFile(variant, piece)))
	args = append(args, "--quiet", "--piece", filepath.ToSlash(file))
	for i, w := range args {
		if words.PlainLine(w) != w {
			return "", fmt.Errorf("%q cannot be part of a one-line command", w)
		}
		args[i] = words.ShellQuoted(w)
	}
	return strings.Join(args, " "), nil
}
