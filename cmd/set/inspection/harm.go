package inspection

import (
	"cmp"
	"math"
	"slices"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/inspect"
)

// What a finding ruins: how it looks, a part of it or what it is for, or the print.
// The grades weigh ten times the one before; common practice, no source.
const (
	ruinsLooks = 1.0
	ruinsPart  = 10.0
	ruinsPrint = 100.0
)

// ruinsMore is what the checks are about that ruin more than looks.
var ruinsMore = map[string]float64{
	"plate": ruinsPrint, "uneven-foot": ruinsPrint, "sealed-void": ruinsPrint, "lidded-void": ruinsPrint, "drain": ruinsPrint,
	"vent": ruinsPrint, "island": ruinsPrint, "overhang": ruinsPrint, "bridge": ruinsPrint, "suction": ruinsPrint, "bow": ruinsPrint,
	"neck": ruinsPart, "thin-wall": ruinsPart, "thin-pin": ruinsPart, "hair": ruinsPart, "slender-pin": ruinsPart,
	"crumb": ruinsPart, "filled-void": ruinsPart, "foot": ruinsPart, "pocket": ruinsPart, "skin": ruinsPart,
	"stand": ruinsPart, "stand-level": ruinsPart, "rough-stand": ruinsPart,
}

// Ruins is how bad what a finding of a check ruins is.
func Ruins(check string) float64 { return cmp.Or(ruinsMore[check], ruinsLooks) }

// farOver is how many times over its limit a ledge or a span is great harm: up to
// that it sags, and beyond it tears. Common practice, no source.
const farOver = 2.0

// grade sets the severity of a finding and its harm: what is ruined, times how many
// times over it is great, ten times at most.
func grade(s *set.Set, f *finding.Finding, over float64) {
	over = math.Min(over, 10)
	f.Harm = math.Round(over*Ruins(f.Check)*100) / 100
	f.Severity = s.Site.Inspect.Severity(f.Check, over >= 1)
}

// timesOver tells how many times over it is great, what a finding does: by the size of
// what is lost where a part comes off, and by how far it is off its limit else.
func timesOver(s *set.Set, f *inspect.Finding) float64 {
	sides := slices.Sorted(slices.Values(f.Size[:]))
	switch f.Kind {
	case inspect.ThinWall:
		return timesPart(s, sides[1]) // a sliver is long one way alone
	case inspect.ThinPin, inspect.Hair, inspect.SlenderPin:
		return timesPart(s, f.Length)
	case inspect.Neck, inspect.LiddedVoid, inspect.Island:
		return timesPart(s, sides[2])
	case inspect.Overhang, inspect.Bridge:
		return f.Value / f.Limit / farOver
	}
	return finding.ShareOf(f.Value, f.Limit)
}

// timesPart is how many times over something is long enough to be a part of the scene.
func timesPart(s *set.Set, long float64) float64 { return long / s.Site.Inspect.Piece }
