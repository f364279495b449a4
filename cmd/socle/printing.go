package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"time"

	"socle/parts"
)

// printing is what a set takes to print, by the figures of the scene.
type printing struct {
	Volume   float64    `json:"volume_mm3"`
	Mass     float64    `json:"mass_g"`
	Material float64    `json:"material_g"` // used, supports and waste included
	Cost     *float64   `json:"cost,omitempty"`
	Currency string     `json:"currency,omitempty"`
	Seconds  *float64   `json:"seconds,omitempty"` // of all plates, or of all bases one by one
	Plates   [][]string `json:"plates,omitempty"`  // the bases on each, where the plate is known
}

// printing sums up a set. A resin printer takes for a plate what its tallest base
// takes; a filament printer what all of them take.
func (s *scene) printing(bases []baseReport, pieces []parts.Piece) (p printing) {
	printer := &s.site.Printer
	p.Currency = s.site.Material.Currency
	for _, b := range bases {
		e := &b.Estimate
		p.Volume += e.Volume
		p.Mass += e.Mass
		p.Material += e.Material
		p.Cost = plus(p.Cost, e.Cost)
	}
	if p.Cost == nil {
		p.Currency = ""
	}
	plates := make([][]string, len(bases)) // one base on each
	at := map[string]*baseReport{}
	for i := range bases {
		plates[i] = []string{bases[i].Name}
		at[bases[i].Name] = &bases[i]
	}
	if printer.Plate != nil {
		built := slices.DeleteFunc(slices.Clone(pieces), func(p parts.Piece) bool { return at[p.Name] == nil })
		l := s.layOut(built)
		plates = nil
		for i := range l.plates {
			plates = append(plates, l.names(i))
		}
		p.Plates = plates
	}
	for _, plate := range plates {
		var longest *float64
		for _, name := range plate {
			seconds := at[name].Estimate.Seconds
			if printer.Extrudes() {
				longest = plus(longest, seconds)
			} else if seconds != nil && (longest == nil || *seconds > *longest) {
				longest = seconds
			}
		}
		p.Seconds = plus(p.Seconds, longest)
	}
	return p
}

// plus adds what is known.
func plus(a, b *float64) *float64 {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	sum := *a + *b
	return &sum
}

// line says what the set takes.
func (p *printing) line(bases int) string {
	line := fmt.Sprintf("%s: %.1f ml, %.1f g; with supports and waste %.1f g", plural(bases, "base", "bases"), p.Volume/1000, p.Mass, p.Material)
	if p.Cost != nil {
		line += fmt.Sprintf(", %.2f %s", *p.Cost, p.Currency)
	}
	if n := len(p.Plates); n > 0 {
		line += ", on " + plural(n, "plate", "plates")
	}
	if p.Seconds != nil {
		line += ", printing for about " + inHours(*p.Seconds)
	}
	return line
}

// print says what the set takes, and what is missing for more.
func (p *printing) print(w io.Writer, bases int) {
	if bases == 0 {
		return
	}
	fmt.Fprintln(w, p.line(bases))
	if p.Seconds == nil {
		fmt.Fprintln(w, "no time: the scene's [printer] has no exposure and lift, or speed")
	}
	if p.Cost == nil {
		fmt.Fprintln(w, "no cost: the scene's [material] has no price")
	}
}

// inHours is a time in hours and minutes.
func inHours(seconds float64) string {
	d := time.Duration(seconds * float64(time.Second)).Round(time.Minute)
	if d < time.Hour {
		return strconv.Itoa(int(d.Minutes())) + " min"
	}
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}
