package inspect

import (
	"fmt"
	"strconv"
)

// telling is how a kind of finding is told: the word of its check, what it means
// at the printer, and what was measured.
type telling struct {
	check    string
	resin    string
	filament string // "" where it is as for resin
	measured func(f *Finding) string
}

// against says a length and the limit that it misses.
func against(what string) func(*Finding) string {
	return func(f *Finding) string {
		value, limit := apart(f.Value, f.Limit)
		return fmt.Sprintf("%s %s mm, least %s", what, value, limit)
	}
}

// over says a length that it should not be over.
func over(what string) func(*Finding) string {
	return func(f *Finding) string {
		value, limit := apart(f.Value, f.Limit)
		return fmt.Sprintf("%s %s mm, most %s", what, value, limit)
	}
}

// apart writes a length and its limit with two digits, or as many more, four at
// most, as it takes to tell them apart.
func apart(value, limit float64) (string, string) {
	for digits := 2; ; digits++ {
		v, l := strconv.FormatFloat(value, 'f', digits, 64), strconv.FormatFloat(limit, 'f', digits, 64)
		if v != l || digits == 4 {
			return v, l
		}
	}
}

func volume(what string) func(*Finding) string {
	return func(f *Finding) string { return fmt.Sprintf("%s of %.2f mm3", what, f.Value) }
}

var tellings = map[Kind]telling{
	Island: {"island",
		"nothing is beneath it: it cures loose, drifts in the vat and will be missing",
		"nothing is beneath it: its first line is printed in the air",
		func(f *Finding) string {
			return fmt.Sprintf("%.2f mm2 begin %.2f mm up", f.Value, f.At[2])
		}},
	Overhang: {"overhang",
		"nothing is beneath it: its underside sags, or sticks to the film and tears off",
		"nothing is beneath it: its lines droop",
		over("stands out")},
	Bridge: {"bridge",
		"nothing supports its middle: it sags",
		"nothing supports its middle: the lines droop there",
		over("spans")},
	SealedVoid: {"sealed-void",
		"liquid resin stays in it, and leaks or cracks the print later",
		"it prints, but weakens the piece",
		volume("a hollow without a way out")},
	LiddedVoid: {"lidded-void",
		"the plate closes it: resin and air stay inside, and it acts like a suction cup at every lift",
		"the first layers bridge it",
		func(f *Finding) string {
			return fmt.Sprintf("a hollow of %.2f mm3 that is open only underneath; its %.1f mm2 on the plate pull with %.1f N at most", f.Value, f.Area, MostSuction(f.Area))
		}},
	SlowDrain: {"drain",
		"liquid resin does not run out and cannot be rinsed out: it leaks or cracks the print later",
		"this is no problem with filament",
		func(f *Finding) string {
			value, limit := apart(f.Value, f.Limit)
			if f.Value == 0 {
				value = "under 0.1"
			}
			ways := "its way out"
			if f.Ways > 1 {
				ways = fmt.Sprintf("the widest of its %d ways out", f.Ways)
			}
			return fmt.Sprintf("a room of %.1f x %.1f x %.1f mm, %s %s mm wide, least %s", f.Size[0], f.Size[1], f.Size[2], ways, value, limit)
		}},
	Neck: {"neck",
		"its neck is too thin: it breaks off in the vat, in the wash or in your hand",
		"its neck is too thin: it breaks off in your hand",
		func(f *Finding) string {
			if f.Value == 0 {
				return fmt.Sprintf("%.2f mm3 hang by less than a pixel, least %.2f mm", f.Volume, f.Limit)
			}
			held := ""
			if f.Ways > 1 {
				held = fmt.Sprintf(" at the stoutest of %d places", f.Ways)
			}
			value, limit := apart(f.Value, f.Limit)
			return fmt.Sprintf("%.2f mm3 hang by %s mm%s, least %s", f.Volume, value, held, limit)
		}},
	ThinWall: {"thin-wall",
		"it warps, tears in the wash or comes out with holes",
		"thinner than two lines: it comes out with holes or not at all",
		func(f *Finding) string {
			if f.Free {
				return against("free-standing,")(f)
			}
			return against("held at its sides,")(f)
		}},
	ThinPin: {"thin-pin",
		"it prints, but snaps in the wash or in handling",
		"it is one wobbling line, and snaps",
		pinned},
	Hair: {"hair",
		"too thin to form: it will be missing, or come loose in the vat",
		"thinner than a line: it will be missing",
		pinned},
	SlenderPin: {"slender-pin",
		"too long for its thickness: it bends when it peels off the film, and snaps",
		"too long for its thickness: it wobbles under the nozzle, and snaps",
		func(f *Finding) string {
			return fmt.Sprintf("%.1f mm long, %.0f times its thickness, most %.0f", f.Length, f.Value, f.Limit)
		}},
	NarrowGap: {"narrow-gap",
		"it closes: stray light cures the resin in it",
		"it closes: the lines run together",
		against("a gap of")},
	ShallowRelief: {"shallow-relief",
		"it will hardly show under primer",
		"",
		func(f *Finding) string {
			what := "grooves"
			if f.Raised {
				what = "ridges"
			}
			value, limit := apart(f.Value, f.Limit)
			return fmt.Sprintf("%s %.0f mm long in all, the shallowest %s mm, least %s", what, f.Length, value, limit)
		}},
	NarrowVent: {"vent",
		"resin drains slowly or not at all, and the piece acts like a suction cup at every lift",
		"this is no problem with filament",
		against("the widest way out is")},
	NoVent: {"vent",
		"with only one way out no air gets in: it drains badly and is hard to rinse",
		"this is no problem with filament",
		func(f *Finding) string {
			return fmt.Sprintf("%.0f way out, but vents this narrow need at least %.0f", f.Value, f.Limit)
		}},
	Suction: {"suction",
		"the area that peels off the film changes suddenly: a line may show, or the piece may come off the plate",
		"a line may show there",
		func(f *Finding) string {
			return fmt.Sprintf("the layer's area changes by %.0f mm2 at %.2f mm up", f.Value, f.At[2])
		}},
	FootEdge: {"foot",
		"the first layers swell, and without a chamfer the base rocks on its edge",
		"the first layer is squeezed out, and without a chamfer the base rocks on its edge",
		against("a chamfer of")},
	UnevenFoot: {"uneven-foot",
		"it does not stand flat, and does not stick well to the plate",
		"",
		over("off the plate by")},
	Bow: {"bow",
		"it shrinks more on one side than on the other, and bows",
		"its corners lift off the plate as it cools",
		func(f *Finding) string {
			return fmt.Sprintf("%.1f mm thick over %.0f mm, least %.1f", f.Value, f.Length, f.Limit)
		}},
	OverPlate: {"plate",
		"it is larger than the printer can print",
		"",
		func(f *Finding) string { return fmt.Sprintf("%.1f mm over in %s", f.Value, f.Measure) }},
	TightPocket: {"pocket",
		"the magnet does not fit: it does not go in, sticks out, or is loose",
		"",
		func(f *Finding) string {
			if f.Value < 0 {
				return fmt.Sprintf("its %s is %.2f mm too large for the magnet", f.Measure, -f.Value)
			}
			return fmt.Sprintf("its %s is %.2f mm too small for the magnet", f.Measure, f.Value)
		}},
	ThinSkin: {"skin",
		"the magnet shows through, or breaks through",
		"",
		against("the skin over the magnet is")},
	UnevenStand: {"stand",
		"the miniature rocks or leans on it",
		"",
		func(f *Finding) string { return over(string(f.Measure) + " off by")(f) }},
	BlockedStand: {"stand",
		"something is in the miniature's way",
		"",
		func(f *Finding) string { return fmt.Sprintf("clear for %.1f mm, least %.1f", f.Value, f.Limit) }},
	SunkStand: {"stand-level",
		"the stand is cut into the part beside it: the figure stands in a pit or a niche",
		"",
		func(f *Finding) string {
			return fmt.Sprintf("%.2f mm stand up along %.1f mm of its rim, most %.2f", f.Value, f.Length, f.Limit)
		}},
	RaisedStand: {"stand-level",
		"the stand is in the air: the figure stands on a post or over an edge",
		"",
		func(f *Finding) string {
			return fmt.Sprintf("%.2f mm lower along %.1f mm of its rim, most %.2f", f.Value, f.Length, f.Limit)
		}},
	RoughStand: {"rough-stand",
		"a miniature does not sit flat anywhere on it",
		"",
		over("the flattest place rises and falls by")},
	UnevenRisers: {"uneven-risers",
		"one step is taller than the others, and it shows",
		"",
		over("the risers differ by")},
	BareTop: {"bare",
		"it is as smooth as a coin: paint finds nothing to catch there, and it looks unfinished",
		"",
		func(f *Finding) string {
			return fmt.Sprintf("%.0f %% of the top is dead flat, most %.0f; the largest patch is %.0f x %.0f mm", 100*f.Value, 100*f.Limit, f.Size[0], f.Size[1])
		}},
}

func pinned(f *Finding) string {
	value, limit := apart(f.Value, f.Limit)
	return fmt.Sprintf("%s mm thick, %.1f mm long, least %s", value, f.Length, limit)
}

// Check is the word of the check that finds the kind.
func (k Kind) Check() string { return tellings[k].check }

// Measured says in a few words what was measured, with its limit.
func (f *Finding) Measured() string { return tellings[f.Kind].measured(f) }

// Meaning says what the finding means at the printer, in plain words.
func (f *Finding) Meaning(extrudes bool) string {
	t := tellings[f.Kind]
	if extrudes && t.filament != "" {
		return t.filament
	}
	return t.resin
}
