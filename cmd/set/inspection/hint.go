package inspection

import (
	"cmp"
	"slices"
	"strings"

	"socle/parts"
	"socle/scenes"
)

// hint says in plain words what may clear a finding of a check on a part, by its
// remedies: those of other parts with their names. It is never without words.
func hint(check, part string, all []parts.Remedy) string {
	const most = 6
	var said []string
	for _, r := range all {
		words := remedyText(r)
		if words == "" {
			continue
		}
		if r.Part != "" && r.Part != part {
			words = r.Part + ": " + words
		}
		if !slices.Contains(said, words) {
			said = append(said, words)
		}
	}
	switch n := min(len(said), most); n {
	case 0:
		return cmp.Or(generally[check], "change the part that it lies on")
	case 1:
		return said[0]
	default:
		return strings.Join(said[:n-1], ", ") + ", or " + said[n-1]
	}
}

// remedyText is a remedy in words; "" where another says it.
func remedyText(r parts.Remedy) string {
	switch {
	case r.Value == nil:
		return r.Words
	case r.Words == "":
		return scenes.KeyText(*r.Value)
	}
	return scenes.KeyText(*r.Value) + ", " + r.Words
}

// generally is what may help where no part has a remedy of its own.
var generally = map[string]string{
	"thin-wall":      "make it thicker; the least wall that is drawn is [printer] wall",
	"thin-pin":       "make it thicker; the least pin that is drawn is [printer] pin",
	"hair":           "make it thicker, or remove what makes it stand free",
	"slender-pin":    "make it thicker or shorter",
	"narrow-gap":     "make the gap wider, or close it; the least gap that is drawn is [printer] gap",
	"shallow-relief": "make it deeper; the least relief that is drawn is [printer] emboss and engrave",
	"island":         "let it rest on something, or print it on supports: [inspect] laid = \"tilted\"",
	"overhang":       "fill what is under it, or print it on supports",
	"bridge":         "make the span shorter, or print it on supports",
	"sealed-void":    "open it to the outside, or fill it",
	"filled-void":    "open it to the outside by [printer] vent or more, or fill it on purpose",
	"drain":          "make the way out wider, to [printer] vent at least, or fill the room on purpose",
	"lidded-void":    "open it to the side, fill it, or print it tilted on supports",
	"vent":           "make the vents wider",
	"suction":        "print it tilted on supports, or make it hollow with vents",
	"foot":           "a chamfer at the foot of the base",
	"uneven-foot":    "a larger floor, so that nothing reaches through its foot",
	"bow":            "make the base higher, or print it tilted on supports",
	"plate":          "a smaller base, a lower part, or a printer with a larger plate",
	"pocket":         "change the magnet or its clearance",
	"skin":           "a thinner magnet or a higher base",
	"stand":          "move the stand, or what stands in its way",
	"stand-level":    "give the stand the level of the floor there, or move it to where that level is",
	"rough-stand":    "a [[base.stand]] gives a flat pad",
	"bare":           "rougher or more worn surfaces there, debris, a step or a wall, or another place for the base; a smooth stand is not counted",
	"crumb":          `[inspect] crumbs = "drop" leaves it out, "keep" leaves it in`,
	"neck":           `[inspect] neck = "cut" takes it off, "thicken" makes it hold`,
	"stair":          "change the levels, or the riser and the going",
	"uneven-risers":  "lay the same finish at its foot and its head",
	"rail":           "change the height of the rail",
	"opening":        "set the balusters closer",
	"unit":           "larger and fewer units, or a larger scale",
}
