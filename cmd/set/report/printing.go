package report

import (
	"fmt"
	"slices"
	"strings"

	"socle/cmd/set"
	"socle/cmd/set/words"
	"socle/parts/assembly"
)

// Printing is what a set takes to print, by the figures of the scene.
type Printing struct {
	Volume   float64    `json:"volume_mm3"`
	Mass     float64    `json:"mass_g"`
	Material float64    `json:"material_g"` // used, supports and waste included
	Cost     *float64   `json:"cost,omitempty"`
	Currency string     `json:"currency,omitempty"`
	Seconds  float64    `json:"seconds"`           // of all plates, or of all bases one by one
	Assumed  []string   `json:"assumed,omitempty"` // what the time rests on that the scene does not give
	Plates   [][]string `json:"plates,omitempty"`  // the bases on each, where the plate is known
}

// printing sums up a set. A resin printer takes for a plate what its tallest base
// takes; a filament printer what all of them take.
func printing(s *set.Set, bases []Base) (p Printing) {
	printer := &s.Site.Printer
	p.Currency = s.Site.Material.Currency
	for _, b := range bases {
		e := &b.Estimate
		p.Volume += e.Volume
		p.Mass += e.Mass
		p.Material += e.Material
		p.Cost = sumOfKnown(p.Cost, e.Cost)
	}
	if p.Cost == nil {
		p.Currency = ""
	}
	plates := make([][]string, len(bases)) // one base on each
	at := map[string]*Base{}
	for i := range bases {
		plates[i] = []string{bases[i].Name}
		at[bases[i].Name] = &bases[i]
	}
	if printer.Plate != nil {
		built := slices.DeleteFunc(slices.Clone(s.Pieces), func(p assembly.Piece) bool { return at[p.Name] == nil })
		l := LayOut(s, built)
		plates = nil
		for i := range l.Plates {
			plates = append(plates, l.names(i))
		}
		p.Plates = plates
	}
	for _, plate := range plates {
		longest := 0.0
		for _, name := range plate {
			seconds := at[name].Estimate.Seconds
			if printer.Extrudes() {
				longest += seconds
			} else {
				longest = max(longest, seconds)
			}
		}
		p.Seconds += longest
	}
	p.Assumed = printer.Pace().Assumed
	return p
}

// sumOfKnown adds what is known.
func sumOfKnown(a, b *float64) *float64 {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	sum := *a + *b
	return &sum
}

// Line says what the set takes.
func (p *Printing) Line(bases int) string {
	line := fmt.Sprintf("%s: %.1f ml, %.1f g; with supports and waste %.1f g", words.Count(bases, "base", "bases"), p.Volume/1000, p.Mass, p.Material)
	if p.Cost != nil {
		line += fmt.Sprintf(", %.2f %s", *p.Cost, p.Currency)
	}
	if n := len(p.Plates); n > 0 {
		line += ", on " + words.Count(n, "plate", "plates")
	}
	line += ", printing for about " + words.Hours(p.Seconds)
	if bases > 1 && len(p.Plates) == 0 {
		line += " one by one"
	}
	if len(p.Assumed) > 0 {
		line += ", as assumed"
	}
	return line
}

// AssumedInWords says what the time rests on that is not the scene's own, and how to give
// that; "" where all is.
func (p *Printing) AssumedInWords() string {
	if len(p.Assumed) == 0 {
		return ""
	}
	return "assumed " + strings.Join(p.Assumed, ", ") + " (typical values; set your own in [printer])"
}

// CostNeeds says what is needed for a cost.
func (p *Printing) CostNeeds() string {
	return fmt.Sprintf("%.1f g at your price: set price (per kg) and currency in [material]", p.Material)
}
