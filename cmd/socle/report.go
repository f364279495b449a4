package main

import (
	"errors"
	"slices"

	"socle/out/inspect"
	"socle/parts"
	"socle/scenes"
	"socle/sdf/mesh"
)

// report is what a build did: the JSON document of --json, and what the table
// is made from. Lengths are in mm.
type report struct {
	Scene     string       `json:"scene"`
	Title     string       `json:"title"`
	Setting   string       `json:"setting"` // draft, fine, or given where --cell was
	Cell      float64      `json:"cell"`
	Tolerance float64      `json:"tolerance"`
	Bases     []baseReport `json:"bases"`          // proven, in the order of the scene
	Failed    []failure    `json:"failed"`         // not proven and so not written
	Set       *fileReport  `json:"set,omitempty"`  // the 3MF file
	Sets      []setReport  `json:"sets,omitempty"` // in its place, where there are several plates: one for each
	Notes     []parts.Note `json:"notes"`

	Scale    []measureReport `json:"scale"`             // sizes of the scene beside life
	Concerns []concern       `json:"concerns"`          // what the inspection found, those of bases that were not written too
	Tally    tally           `json:"tally"`             // of the concerns
	Advised  *advised        `json:"advised,omitempty"` // the changes that clear most of them, together; nil where none was tried or found
	Printing printing        `json:"printing"`          // what the set takes to print
	Cautions []string        `json:"cautions"`

	Pictures []pictureReport `json:"pictures,omitempty"`
	Plan     *fileReport     `json:"plan,omitempty"`
	Sheets   []fileReport    `json:"sheets,omitempty"`   // of the set, of the variants
	Page     *fileReport     `json:"page,omitempty"`     // the report as a page
	Document *fileReport     `json:"document,omitempty"` // and as this document

	Variants []variantReport `json:"variants"`
	Seeds    []seedReport    `json:"seeds"`
	Made     string          `json:"made_by"`
	Source   string          `json:"source"` // the scene's own text
}

// filed is the report as it is written into a folder: with the places of files
// within it, and without the time it took, so that the same scene gives the same
// bytes.
func (r *report) filed(dir string) *report {
	f := *r
	f.Bases, f.Sheets, f.Pictures, f.Sets = slices.Clone(r.Bases), slices.Clone(r.Sheets), slices.Clone(r.Pictures), slices.Clone(r.Sets)
	for _, file := range []**fileReport{&f.Set, &f.Plan, &f.Page} {
		if *file != nil {
			there := **file
			*file = &there
		}
	}
	for i := range f.Bases {
		f.Bases[i].Seconds, f.Bases[i].Kept = 0, false
	}
	for _, file := range f.files() {
		file.File = within(dir, file.File)
	}
	return &f
}

// setReport is the 3MF file of one plate.
type setReport struct {
	Plate int      `json:"plate"` // from 1
	Bases []string `json:"bases"`
	fileReport
}

// setFiles tells of the 3MF files, in the order of their plates; l is how the set lies
// on them.
func (r *report) setFiles(files []fileReport, l laidOut) {
	if len(files) == 1 && l.plates <= 1 {
		r.Set = &files[0]
		return
	}
	for i, f := range files {
		r.Sets = append(r.Sets, setReport{i + 1, l.names(i), f})
	}
}

// pictureReport is a picture of a base.
type pictureReport struct {
	Base string `json:"base"`
	View string `json:"view"`
	fileReport
}

// variantReport is a variant of the scene.
type variantReport struct {
	Name    string         `json:"name"`
	Changes []changeReport `json:"changes"`
}

// changeReport is a value that a variant changes, as written.
type changeReport struct {
	Path  string `json:"path"`
	Value string `json:"value"`
	Was   string `json:"was,omitempty"`
}

// seedReport is the seed of a part, or of the scene where Part is empty.
type seedReport struct {
	Part string `json:"part"`
	Seed uint64 `json:"seed"`
}

func newReport(s *scene) *report {
	r := &s.resolution
	return &report{
		Scene: s.name, Title: s.site.Title,
		Setting: r.setting, Cell: r.cell, Tolerance: r.tolerance,
		Bases: []baseReport{}, Failed: []failure{}, Notes: []parts.Note{},
		Scale: []measureReport{}, Concerns: []concern{},
		Variants: variantsOf(s.read), Seeds: seedsOf(s.site), Made: versionLine(buildInfo()), Source: s.read.Text(),
	}
}

func variantsOf(s *scenes.Scene) []variantReport {
	all := []variantReport{}
	for _, v := range s.Variants {
		r := variantReport{Name: v.Name}
		for _, c := range s.Changes(v) {
			r.Changes = append(r.Changes, changeReport{c.Path, c.Value, c.Was})
		}
		all = append(all, r)
	}
	return all
}

func seedsOf(s *parts.Site) []seedReport {
	var all []seedReport
	for _, seed := range s.Seeds() {
		all = append(all, seedReport(seed))
	}
	return all
}

// complete adds what is told of the whole set, once all its pieces are made.
func (r *report) complete(s *Set) {
	r.Notes = append(r.Notes, s.site.Notes()...)
	for _, m := range parts.Measures(s.site) {
		r.Scale = append(r.Scale, measureReportOf(m))
	}
	r.Concerns = gather(append(r.Concerns, s.measured()...))
	r.Tally = tallyOf(r.Concerns)
	r.Printing = s.printing(r.Bases)
	hollow, magnets := risks(s.pieces)
	r.Cautions = cautionsFor(s.site.Printer.Extrudes(), hollow, magnets)
}

// baseReport is one proven base. File, Bytes and SHA256 are of its STL, and
// empty where none was asked for.
type baseReport struct {
	Name      string `json:"name"`
	Footprint string `json:"footprint"`
	fileReport
	Triangles int           `json:"triangles"`
	Vertices  int           `json:"vertices"`
	Volume    float64       `json:"volume_mm3"`
	Area      float64       `json:"area_mm2"`
	Box       boxReport     `json:"bbox"`
	Closed    bool          `json:"closed"`
	Outward   bool          `json:"outward"`
	Crossings int           `json:"crossings"`
	Shells    int           `json:"shells"`
	Genus     int           `json:"genus"`
	Deviation float64       `json:"deviation"`         // greatest distance from the field over a sample
	Crumbs    []crumbReport `json:"crumbs"`            // loose pieces and sealed voids
	Seconds   float64       `json:"seconds,omitempty"` // of meshing; not in files, which are the same for the same scene
	Kept      bool          `json:"kept,omitempty"`    // from an earlier build; not in files

	Estimate inspect.Estimate `json:"estimate"`
	Measured measuredReport   `json:"measured"`
}

type boxReport struct {
	Min [3]float64 `json:"min"`
	Max [3]float64 `json:"max"`
}

type crumbReport struct {
	At     [3]float64 `json:"at"`
	Size   [3]float64 `json:"size"`
	Volume float64    `json:"volume_mm3"` // less than 0: a sealed void, filled
	Kept   bool       `json:"kept,omitempty"`
}

// failure is a base that was not written, and why.
type failure struct {
	Name string      `json:"name"`
	Why  string      `json:"why"`
	At   *[3]float64 `json:"at,omitempty"` // base coordinates
}

func baseReportOf(p *parts.Piece, m meshed) baseReport {
	s := m.solid
	b := baseReport{
		Name:      p.Name,
		Footprint: p.Footprint,
		Triangles: len(s.Triangles),
		Vertices:  len(s.Vertices),
		Volume:    s.Proof.Volume,
		Area:      s.Proof.Area,
		Box:       boxReport{xyz(s.Proof.Box.Min), xyz(s.Proof.Box.Max)},
		Closed:    s.Proof.Closed,
		Outward:   s.Proof.Outward,
		Crossings: s.Proof.Crossings,
		Shells:    s.Proof.Shells,
		Genus:     s.Proof.Genus,
		Deviation: s.Stats.Deviation,
		Crumbs:    []crumbReport{},
		Seconds:   m.seconds,
		Kept:      m.kept,
		Estimate:  m.inspection.estimate,
		Measured:  m.inspection.measured,
	}
	for _, c := range s.Crumbs {
		b.Crumbs = append(b.Crumbs, crumbReport{xyz(c.At), xyz(c.Size), c.Volume, c.Kept})
	}
	return b
}

// risks says whether any of the pieces is hollow or takes magnets.
func risks(pieces []parts.Piece) (hollow, magnets bool) {
	for _, p := range pieces {
		hollow = hollow || p.Base.Underside == "hollow"
		magnets = magnets || len(p.Base.Magnets) > 0
	}
	return hollow, magnets
}

// failureOf tells why a piece is not written, and where that is known.
func failureOf(p *parts.Piece, err error) failure {
	f := failure{Name: p.Name, Why: err.Error()}
	var proof *mesh.ProofError
	if errors.As(err, &proof) {
		at := xyz(proof.At)
		f.At = &at
	}
	return f
}
