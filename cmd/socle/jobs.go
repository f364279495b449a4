package main

import (
	"cmp"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"socle/out/plainfile"
	"socle/scenes"
)

// jobsMark begins the list of jobs and tells its layout.
const jobsMark = "socle jobs 2"

// jobList is what a gather needs to know: all that the scene was read from, and the
// pieces that it is made of.
type jobList struct {
	Mark      string   `json:"mark"`
	Tool      string   `json:"tool"`
	Scene     string   `json:"scene"` // its name
	Text      string   `json:"text"`
	Printer   *string  `json:"printer,omitempty"` // text of --printer
	Set       []string `json:"set,omitempty"`
	Setting   string   `json:"setting"`
	Cell      *float64 `json:"cell,omitempty"`      // mm, where given
	Tolerance *float64 `json:"tolerance,omitempty"` // mm, where given
	Formats   formats  `json:"formats"`
	Size      string   `json:"size"` // of pictures
	All       bool     `json:"all"`  // the scene and every variant, each in a folder
	Sets      []jobSet `json:"sets"`

	// What commands are made of beside all this, as it was given.
	Program     string `json:"program"`
	ScenePath   string `json:"scene_path"`
	PrinterPath string `json:"printer_path,omitempty"`
	To          string `json:"to"`

	Check string `json:"check"` // SHA-256 of all the rest, hex
}

// sum is what Check must be.
func (l jobList) sum() (string, error) {
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

const jobListFile = "jobs.json"

type jobsFlags struct {
	buildFlags
	command string
}

func jobsCmd() *cobra.Command {
	var f jobsFlags
	cmd := &cobra.Command{
		Use:   "jobs SCENE",
		Short: "List the bases of a scene as commands for many machines",
		Long: `Jobs prints one command for each base, and builds nothing. Each command makes one
base and writes one file to DIR; they can be run in any order, at once, on any
machine which has the same socle, the scene, and DIR. "socle gather DIR" then puts
together what "socle build" would have written, byte for byte.

DIR/jobs.json is what the gather goes by. The commands are for a POSIX shell, to be
run in the folder that this one is. A command whose base has a stop or cannot be
proven ends with 1 and writes its file all the same, which says so.

With --variant all there are commands for the scene as it is and for every variant.`,
		Example: `  socle jobs harbour.toml --variant all > jobs.txt
  parallel -j8 < jobs.txt                  # GNU parallel, on one machine
  sed -n "${INDEX}p" jobs.txt | sh         # one of an indexed batch job, from 1
  awk '{ gsub(/\$/, "$$"); print "p" NR ":\n\t" $0; t = t " p" NR } END { print "all:" t }' jobs.txt |
    make -k -j8 -f - all                   # make
  socle gather build/harbour-jobs --to harbour`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.valid(cmd.Flags().Changed("format")); err != nil {
				return err
			}
			return f.list(cmd, args[0])
		},
		ValidArgsFunction: completeScene,
	}
	shared := &cobra.Command{}
	f.asked.flags(shared, settingFine)
	flags := cmd.Flags()
	for _, name := range []string{"set", "variant", "printer", "setting", "cell", "tolerance"} {
		flags.AddFlag(shared.Flags().Lookup(name))
	}
	flags.StringVar(&f.to, "to", "", "folder `DIR` for the files of the jobs (default build/SCENE-jobs)")
	f.sizeFlag(flags)
	flags.StringSliceVar((*[]string)(&f.formats), "format", allFormats, "what will be written, a `LIST` of "+strings.Join(allFormats, ", "))
	flags.StringVar(&f.command, "command", "socle", "`PATH` of socle where the commands are run")
	return cmd
}

// list writes the list of jobs and prints the commands.
func (f *jobsFlags) list(cmd *cobra.Command, arg string) error {
	for _, path := range []string{arg, f.printer} {
		if path == "-" || isPipe(path) {
			return fmt.Errorf("jobs reads the scene and its printer again and again: give it a file in place of %s", path)
		}
	}
	l := jobList{Mark: jobsMark, Set: f.sets, Setting: f.setting, Formats: f.formats, Size: f.size, All: f.variant == allVariants}
	if cmd.Flags().Changed("cell") {
		l.Cell = &f.cell
	}
	if cmd.Flags().Changed("tolerance") {
		l.Tolerance = &f.tolerance
	}
	s, err := f.openPlain(cmd, arg)
	if err != nil {
		return err
	}
	l.Scene, l.Text = s.name, s.read.Text()
	if f.printer != "" {
		text, err := plainfile.Read(f.printer, scenes.MaxSize)
		if err != nil {
			return faulty(err)
		}
		l.Printer = new(string)
		*l.Printer = string(text)
	}
	if l.Tool, err = thisTool(); err != nil {
		return err
	}
	if f.to == "" {
		f.to = filepath.Join("build", s.name+"-jobs")
	}
	l.Program, l.ScenePath, l.PrinterPath, l.To = f.command, arg, f.printer, f.to
	variants := []string{f.variant}
	if l.All {
		variants = s.everyVariant()
	}
	var lines []string
	for _, v := range variants {
		set := jobSet{Variant: v}
		if err := f.listSet(cmd, &l, &set); err != nil {
			return err
		}
		l.Sets = append(l.Sets, set)
		for _, j := range set.Pieces {
			line, err := l.line(set.Variant, j.Piece)
			if err != nil {
				return err
			}
			lines = append(lines, line)
		}
	}
	if l.Check, err = l.sum(); err != nil {
		return err
	}
	files := &outputs{dir: f.to, messages: cmd.ErrOrStderr()}
	defer files.discard()
	if _, err = files.add(jobListFile, func(w io.Writer) error { return writeJSON(w, l) }); err == nil {
		err = files.commit()
	}
	if err != nil {
		return &exitError{exitNotWritten, err}
	}
	for _, line := range lines {
		fmt.Fprintln(cmd.OutOrStdout(), line)
	}
	return nil
}

// listSet adds the jobs of the scene or one variant.
func (f *jobsFlags) listSet(cmd *cobra.Command, l *jobList, set *jobSet) error {
	s, fineness, err := l.open(set.Variant)
	if err != nil {
		return err
	}
	pieces, err := s.cut(nil)
	if err != nil {
		return err
	}
	if f.formats.solids() && !fineness.coarse(s.site.Printer) {
		if err := s.refuseTooLarge(pieces); err != nil {
			return err
		}
	}
	for i := range pieces {
		name := pieces[i].Name
		key, err := s.pieceKey(cmd.Context(), &pieces[i], fineness, l.artist(s, fineness))
		if err != nil {
			return err
		}
		set.Pieces = append(set.Pieces, job{Piece: name, Key: hex.EncodeToString(key[:])})
	}
	return nil
}

// open reads the scene of a list, or a variant, from what the list holds.
func (l *jobList) open(variant string) (*scene, resolution, error) {
	var on *scenes.PrinterFile
	if l.Printer != nil {
		on = scenes.NewPrinter("printer", []byte(*l.Printer))
	}
	read, err := scenes.Read(l.Scene+sceneExt, []byte(l.Text), l.Set, scenes.On(on))
	s := &scene{name: l.Scene}
	if err == nil && variant != "" {
		s.name += "-" + variant
		read, err = read.Variant(variant)
	}
	if err != nil {
		return nil, resolution{}, faulty(err)
	}
	s.read, s.site = read, read.Site
	fineness, err := resolve(l.Setting, s.site.Printer, l.Cell, l.Tolerance)
	return s, fineness, err
}

// artist gives who draws the pieces; nil where nobody does.
func (l *jobList) artist(s *scene, r resolution) *artist {
	d := drawing{size: l.Size}
	return d.at(r, s.site.Printer).artist(s, l.Formats)
}

// pieceFile is the file of a piece, with slashes, from the folder of the list.
func pieceFile(variant, piece string) string {
	return cmp.Or(variant, scenes.AsItIs) + "/" + piece + ".piece"
}

// line is the command that makes one piece.
func (l *jobList) line(variant, piece string) (string, error) {
	words := []string{l.Program, "build", operand(l.ScenePath)}
	for _, set := range l.Set {
		words = append(words, "--set", set)
	}
	if l.PrinterPath != "" {
		words = append(words, "--printer", l.PrinterPath)
	}
	if variant != "" {
		words = append(words, "--variant", variant)
	}
	words = append(words, "--base", piece, "--setting", l.Setting)
	if l.Cell != nil {
		words = append(words, "--cell", strconv.FormatFloat(*l.Cell, 'g', -1, 64))
	}
	if l.Tolerance != nil {
		words = append(words, "--tolerance", strconv.FormatFloat(*l.Tolerance, 'g', -1, 64))
	}
	words = append(words, "--format", strings.Join(l.Formats, ","))
	if l.Size != "" {
		words = append(words, "--size", l.Size)
	}
	file := filepath.Join(l.To, filepath.FromSlash(pieceFile(variant, piece)))
	words = append(words, "--quiet", "--piece", filepath.ToSlash(file))
	for i, w := range words {
		if oneLine(w) != w {
			return "", fmt.Errorf("%q cannot be in a command of one line", w)
		}
		words[i] = shellQuoted(w)
	}
	return strings.Join(words, " "), nil
}

// operand is a path that no command takes for a flag.
func operand(path string) string {
	if strings.HasPrefix(path, "-") {
		return "./" + path
	}
	return path
}

// shellQuoted is a word as a POSIX shell reads it back (IEEE Std 1003.1, 2.2.2).
func shellQuoted(word string) string {
	const plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_@%+=:,./-"
	if word != "" && strings.Trim(word, plain) == "" {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
