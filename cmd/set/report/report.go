// Package report holds what a build did: the JSON document, and the tables and figures that
// pages and terminals show.
package report

import (
	"errors"
	"slices"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/out/inspect"
	"socle/parts"
	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf/mesh"
)

// Report is what a build did: the JSON document of --json, and what the table
// is made from. Lengths are in mm.
type Report struct {
	Scene     string       `json:"scene"`
	Title     string       `json:"title"`
	Setting   string       `json:"setting"` // draft, fine, or given where --cell was
	Cell      float64      `json:"cell"`
	Tolerance float64      `json:"tolerance"`
	Bases     []Base       `json:"bases"`          // proven, in the order of the scene
	Failed    []Failed     `json:"failed"`         // not proven and so not written
	Set       *output.File `json:"set,omitempty"`  // the 3MF file
	Sets      []plateFile  `json:"sets,omitempty"` // in its place, where there are several plates: one for each
	Notes     []parts.Note `json:"notes"`

	Scale    []inspection.ScaleMeasure `json:"scale"`             // sizes of the scene beside life
	Findings []finding.Finding         `json:"concerns"`          // what the inspection found, those of bases that were not written too
	Tally    finding.Tally             `json:"tally"`             // of the findings
	Advised  *finding.Combined         `json:"advised,omitempty"` // the changes that clear most of them, together; nil where none was tried or found
	Printing Printing                  `json:"printing"`          // what the set takes to print
	Cautions []string                  `json:"cautions"`

	Pictures []Picture     `json:"pictures,omitempty"`
	Plan     *output.File  `json:"plan,omitempty"`
	Sheets   []output.File `json:"sheets,omitempty"`   // of the set, of the variants
	Page     *output.File  `json:"page,omitempty"`     // the report as a page
	Document *output.File  `json:"document,omitempty"` // and as this document

	Variants []variant `json:"variants"`
	Seeds    []Seed    `json:"seeds"`
	Made     string    `json:"made_by"`
	Source   string    `json:"source"` // the scene's own text
}

// Filed is the report as it is written into a folder: with the places of files
// within it, and without the time it took, so that the same scene gives the same
// bytes.
func (r *Report) Filed(dir string) *Report {
	f := *r
	f.Bases, f.Sheets, f.Pictures, f.Sets = slices.Clone(r.Bases), slices.Clone(r.Sheets), slices.Clone(r.Pictures), slices.Clone(r.Sets)
	for _, file := range []**output.File{&f.Set, &f.Plan, &f.Page} {
		if *file != nil {
			there := **file
			*file = &there
		}
	}
	for i := range f.Bases {
		f.Bases[i].Seconds, f.Bases[i].Kept = 0, false
	}
	for _, file := range f.Files() {
		file.Path = output.Within(dir, file.Path)
	}
	return &f
}

// plateFile is the 3MF file of one plate.
type plateFile struct {
	Plate int      `json:"plate"` // from 1
	Bases []string `json:"bases"`
	output.File
}

// SetFiles tells of the 3MF files, in the order of their plates; l is how the set lies
// on them.
func (r *Report) SetFiles(files []output.File, l PlateLayout) {
	if len(files) == 1 && l.Plates <= 1 {
		r.Set = &files[0]
		return
	}
	for i, f := range files {
		r.Sets = append(r.Sets, plateFile{i + 1, l.names(i), f})
	}
}

// Picture is a picture of a base.
type Picture struct {
	Base string `json:"base"`
	View string `json:"view"`
	output.File
}

// variant is a variant of the scene.
type variant struct {
	Name    string   `json:"name"`
	Changes []change `json:"changes"`
}

// change is a value that a variant changes, as written.
type change struct {
	Path  string `json:"path"`
	Value string `json:"value"`
	Was   string `json:"was,omitempty"`
}

// Seed is the seed of a part, or of the scene where Part is empty.
type Seed struct {
	Part string `json:"part"`
	Seed uint64 `json:"seed"`
}

func New(s *set.Scene) *Report {
	r := &s.Resolution
	return &Report{
		Scene: s.Name, Title: s.Site.Title,
		Setting: r.Setting, Cell: r.Cell, Tolerance: r.Tolerance,
		Bases: []Base{}, Failed: []Failed{}, Notes: []parts.Note{},
		Scale: []inspection.ScaleMeasure{}, Findings: []finding.Finding{},
		Variants: variantsOf(s.Read), Seeds: seedsOf(s.Site), Made: cache.VersionLine(cache.BuildInfo()), Source: s.Read.Text(),
	}
}

func variantsOf(s *scenes.Scene) []variant {
	all := []variant{}
	for _, v := range s.Variants {
		r := variant{Name: v.Name}
		for _, c := range s.Changes(v) {
			r.Changes = append(r.Changes, change{c.Path, c.Value, c.Was})
		}
		all = append(all, r)
	}
	return all
}

func seedsOf(s *parts.Site) []Seed {
	var all []Seed
	for _, seed := range s.Seeds() {
		all = append(all, Seed(seed))
	}
	return all
}

// Complete adds what is told of the whole set, once all its pieces are made.
func (r *Report) Complete(s *set.Set) {
	r.Notes = append(r.Notes, s.Place.Notes()...)
	for _, m := range assembly.Measures(s.Site) {
		r.Scale = append(r.Scale, inspection.ScaleMeasureOf(m))
	}
	r.Findings = finding.Join(append(r.Findings, inspection.OutOfScale(s)...))
	r.Tally = finding.TallyOf(r.Findings)
	r.Printing = printing(s, r.Bases)
	hollow, magnets := risks(s.Pieces)
	r.Cautions = cautionsFor(s.Site.Printer.Extrudes(), hollow, magnets)
}

// Base is one proven base. File, Bytes and SHA256 are of its STL, and
// empty where none was asked for.
type Base struct {
	Name      string `json:"name"`
	Footprint string `json:"footprint"`
	output.File
	Triangles int     `json:"triangles"`
	Vertices  int     `json:"vertices"`
	Volume    float64 `json:"volume_mm3"`
	Area      float64 `json:"area_mm2"`
	Box       Box     `json:"bbox"`
	Closed    bool    `json:"closed"`
	Outward   bool    `json:"outward"`
	Crossings int     `json:"crossings"`
	Shells    int     `json:"shells"`
	Genus     int     `json:"genus"`
	Deviation float64 `json:"deviation"`         // greatest distance from the field over a sample
	Crumbs    []crumb `json:"crumbs"`            // loose pieces and sealed voids
	Seconds   float64 `json:"seconds,omitempty"` // of meshing; not in files, which are the same for the same scene
	Kept      bool    `json:"kept,omitempty"`    // from an earlier build; not in files

	Estimate inspect.Estimate    `json:"estimate"`
	Measured inspection.Measured `json:"measured"`
}

type Box struct {
	Min [3]float64 `json:"min"`
	Max [3]float64 `json:"max"`
}

type crumb struct {
	At     [3]float64 `json:"at"`
	Size   [3]float64 `json:"size"`
	Volume float64    `json:"volume_mm3"` // less than 0: a sealed void, filled
	Kept   bool       `json:"kept,omitempty"`
}

// Failed is a base that was not written, and why.
type Failed struct {
	Name string      `json:"name"`
	Why  string      `json:"why"`
	At   *[3]float64 `json:"at,omitempty"` // base coordinates
}

func BaseOf(p *assembly.Piece, m piece.Result) Base {
	s := m.Solid
	b := Base{
		Name:      p.Name,
		Footprint: p.Footprint,
		Triangles: len(s.Triangles),
		Vertices:  len(s.Vertices),
		Volume:    s.Proof.Volume,
		Area:      s.Proof.Area,
		Box:       Box{finding.Triple(s.Proof.Box.Min), finding.Triple(s.Proof.Box.Max)},
		Closed:    s.Proof.Closed,
		Outward:   s.Proof.Outward,
		Crossings: s.Proof.Crossings,
		Shells:    s.Proof.Shells,
		Genus:     s.Proof.Genus,
		Deviation: s.Stats.Deviation,
		Crumbs:    []crumb{},
		Seconds:   m.Seconds,
		Kept:      m.Kept,
		Estimate:  m.Inspection.Estimate,
		Measured:  m.Inspection.Measured,
	}
	for _, c := range s.Crumbs {
		b.Crumbs = append(b.Crumbs, crumb{finding.Triple(c.At), finding.Triple(c.Size), c.Volume, c.Kept})
	}
	return b
}

// risks says whether any of the pieces is hollow or takes magnets.
func risks(pieces []assembly.Piece) (hollow, magnets bool) {
	for _, p := range pieces {
		hollow = hollow || p.Base.Underside == "hollow"
		magnets = magnets || len(p.Base.Magnets) > 0
	}
	return hollow, magnets
}

// FailedOf tells why a piece is not written, and where that is known.
func FailedOf(p *assembly.Piece, err error) Failed {
	f := Failed{Name: p.Name, Why: err.Error()}
	var proof *mesh.ProofError
	if errors.As(err, &proof) {
		at := finding.Triple(proof.At)
		f.At = &at
	}
	return f
}
