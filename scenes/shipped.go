package scenes

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"socle/scenes/syntax"
)

//go:embed *.toml
var files embed.FS

// starterFile is the scene that a new one starts from; it is not listed with the
// shipped scenes.
const starterFile = "starter.toml"

// Shipped lists the names of the scenes that come with the tool, in alphabetical
// order.
func Shipped() []string {
	found, err := fs.Glob(files, "*.toml")
	if err != nil {
		panic(err) // the pattern is a constant
	}
	var names []string
	for _, file := range found {
		if file != starterFile {
			names = append(names, strings.TrimSuffix(file, ".toml"))
		}
	}
	slices.Sort(names)
	return names
}

// Open gives the text of a shipped scene by its name, with or without .toml.
func Open(name string) ([]byte, error) {
	name = strings.TrimSuffix(name, ".toml")
	if !slices.Contains(Shipped(), name) {
		help := ""
		if near := syntax.Nearest(name, Shipped()); near != "" {
			help = fmt.Sprintf(" Did you mean %q?", near)
		}
		return nil, fmt.Errorf("no shipped scene is called %s.%s There are: %s", syntax.Quote(name), help, strings.Join(Shipped(), ", "))
	}
	return files.ReadFile(name + ".toml")
}

// Starter is a short scene with comments, for a new file.
func Starter() []byte {
	text, err := files.ReadFile(starterFile)
	if err != nil {
		panic(err) // embedded
	}
	return text
}

// exampleRatio is the scale of the examples: figures of 28 to 32 mm, by common practice, no source.
const exampleRatio = 56.0

// What stands about the parts of an example.
var (
	exampleHead   = fmt.Sprintf("[scale]\nratio = %g\n\n[levels]\nfloor = 0\n", exampleRatio)
	exampleGround = "[ground]\nsize = [64, 48]\nlevel = \"floor\"\n"
	exampleBase   = "[[base]]\nname = \"example\"\nround = 44\nat = [32, 24]\n"
)

// ExampleScene is the text of a scene of an example: its parts, with the ground and the base
// of all examples unless it has its own.
func ExampleScene(word, example string) string {
	faults := &Faults{}
	root, _ := syntax.ParsePartly(syntax.NewText(word, []byte(example), 0), faults)
	has := func(word string) bool { return root != nil && root.Fields[word] != nil }
	text := "title = " + syntax.Quote("Example of "+word) + "\n\n" + exampleHead
	if !has("ground") {
		text += "\n" + exampleGround
	}
	text += "\n" + example + "\n"
	if !has("base") {
		text += "\n" + exampleBase
	}
	return text
}

// ExampleAround is what the scene of an example has beside it.
func ExampleAround() string {
	return exampleHead + "\n" + exampleGround + "\n# here the example\n\n" + exampleBase
}
