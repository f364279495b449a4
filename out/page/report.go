// Package page writes the report of a set as one HTML file that needs nothing
// else: no network, no other file. It holds words, tables and pictures, and of
// every base a solid that can be turned; where that cannot be shown, the pictures
// stand in its place. What it says is given to it in plain values.
package page

// Report is all that a page tells. Texts are plain; the page escapes them.
type Report struct {
	Title     string // of the scene
	Scene     string // the name of its file, without the extension
	Lead      []Fact // what the set is, in a few lines
	Tally     Tally  // of all findings
	Plan      []byte // an SVG element as out/plan writes it: it is put into the page unchanged; nil where there is none
	Sheet     *Picture
	LifeSheet *Picture // at the size of life: it is shown pixel for pixel
	Table     Table    // of the bases
	Bases     []Base
	Findings  []Finding // of the scene as a whole; those of a base stand with it
	Failed    []Fact    // bases that were not made, and why
	Scale     Table     // sizes beside life
	Printing  []Fact    // what the set takes to print
	Estimate  Table     // the same, a base a row
	Plates    [][]string

	VariantSheet *Picture
	Variants     []Variant

	Notes    []string // what was decided for the maker
	Source   string   // the scene's own text
	Making   []Fact   // versions, settings, seeds
	Files    Table    // what was written: name, size, hash
	Cautions []string
}

// Fact is a name and a value.
type Fact struct{ Name, Value string }

// Tally counts findings.
type Tally struct {
	Stops, Warns, Notes int
	Words               string // the same in words
}

// Table has a head and rows as wide as it.
type Table struct {
	Caption string
	Head    []string
	Figures []bool // of each column: numbers, set to the right
	Rows    [][]string
}

// Picture is a picture with what it shows in words.
type Picture struct {
	Caption       string // short, beneath it
	Alt           string // for those who do not see it
	JPEG          []byte
	Width, Height int // pixels
}

// Base is one base.
type Base struct {
	Name, Footprint string
	Facts           []Fact
	Pictures        []Picture // the first is the one to begin with; findings are ringed in some
	Solid           *Solid    // to be turned; nil where there is none
	Findings        []Finding
}

// Solid is a closed triangle mesh in mm, counter-clockwise seen from outside.
type Solid struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
	Tones     []uint8 // of each triangle, as picture.Tone has it; nil: all 0
}

// Finding is one finding of the inspection.
type Finding struct {
	Number   int    // as it is ringed in the pictures of its base; 0 where it has no place
	Severity string // stop, warn or note
	Check    string
	Part     string // what of the scene it is about, "" where that is not known
	Key      string
	What     string   // as measured
	Meaning  string   // at the printer
	Change   string   // what may help, "" where nothing is known
	Clears   []string // changes that clear it, as tried, the first to be taken
	Tried    int      // how many were tried; 0 for none
	Place    string   // where, "" where it has none
	Count    int      // places in all; 0 and 1 are one
	Picture  *Picture
}

// Variant is a variant of the scene.
type Variant struct {
	Name    string
	Changes []Fact // the key path and its value
}
