package parts

// What to change in a scene when a check finds something on a part. The words are
// those of the checks: thin-wall, thin-pin, hair, slender-pin, narrow-gap,
// shallow-relief, island, overhang, bridge, sealed-void, filled-void, lidded-void, drain, vent, suction,
// foot, uneven-foot, bow, plate, pocket, skin, stand, stand-level, rough-stand, crumb, neck, stair,
// uneven-risers, rail, opening, unit.

// remedy is a key of a part and in plain words how to change it.
type remedy struct {
	key    string // "magnet.skin" within a table; "" where no one key does it
	change string
}

// Advice says what to change in the scene for a finding of a check on a part: the
// key of the part, "" where no one key does it, and in plain words how. A check
// that a kind of part has no remedy of its own for gets the general one; it is
// never without words.
func Advice(p Part, check string) (key, change string) {
	if b, ok := p.(*Base); ok && b.Underside != "hollow" {
		if r, ok := ofSolidBases[check]; ok {
			return r.key, r.change
		}
	}
	if p != nil {
		if r, ok := remedies[WordOf(p)][check]; ok {
			return r.key, r.change
		}
	}
	if r, ok := generally[check]; ok {
		return "", r
	}
	return "", "change the part that it lies on, or move the base so that it lies elsewhere"
}

// ofSolidBases is what helps on a base without a hollow, in place of what does on
// one with it.
var ofSolidBases = map[string]remedy{
	"thin-wall": {"at", "move the base a little, so that its edge leaves no sliver"},
	"bridge":    {"magnet.disc", "a smaller magnet: the roof of its pocket spans it"},
}

// generally is what helps whatever the part.
var generally = map[string]string{
	"thin-wall":      "make it thicker; the least wall that is drawn is [printer] wall",
	"thin-pin":       "make it thicker; the least pin that is drawn is [printer] pin",
	"hair":           "move the base or the part a little, so that no edge is left standing",
	"slender-pin":    "make it thicker or shorter",
	"narrow-gap":     "make the gap wider, or close it; the least gap that is drawn is [printer] gap",
	"shallow-relief": "make it deeper; the least relief that is drawn is [printer] emboss and engrave",
	"island":         "let it rest on something, or print it on supports: [inspect] laid = \"tilted\"",
	"overhang":       "fill what is under it, or print it on supports",
	"bridge":         "make the span shorter, or print it on supports",
	"sealed-void":    "open it to the outside, or fill it",
	"filled-void":    "open it to the outside by [printer] vent or more, or make it solid",
	"drain":          "make the way out wider, to [printer] vent at least, or make the room solid",
	"lidded-void":    "open it to the side, fill it, or print it tilted on supports",
	"vent":           "make the vents wider",
	"suction":        "print it tilted on supports, or make it hollow with vents",
	"foot":           "a chamfer at the foot of the base",
	"uneven-foot":    "move the base so that nothing reaches through its foot",
	"bow":            "make the base higher, or print it tilted on supports",
	"plate":          "a smaller base, a lower part, or a printer with a larger plate",
	"pocket":         "change the magnet or its clearance",
	"skin":           "a thinner magnet or a higher base",
	"stand":          "move the stand, or what stands in its way",
	"stand-level":    "give the stand the level of the floor there, or move it to where that level is",
	"rough-stand":    "a [[base.stand]] gives a flat pad",
	"crumb":          `[inspect] crumbs = "drop" leaves it out, "keep" leaves it in`,
	"neck":           `[inspect] neck = "cut" takes it off, "thicken" makes it hold`,
	"stair":          "change the levels, or the riser and the going",
	"uneven-risers":  "lay the same finish at its foot and its head",
	"rail":           "change the height of the rail",
	"opening":        "set the balusters closer",
	"unit":           "larger and fewer units, or a larger scale",
}

const (
	moveBase   = "move the base, so that its edge does not cut through it here"
	lessWear   = "less wear leaves fewer loose and broken stones"
	fewerBits  = "fewer fragments"
	largerBits = "a larger least size"
	cutRail    = "where damage cuts it: spares = [\"its name\"] on the damage, or move that; where the edge of the base does, move the base"
)

// remedies are by the word of the kind, then by the check.
var remedies = map[string]map[string]remedy{
	"ground": {
		"thin-wall":      {"sunk", "leave more ground between sunk terraces, and between them and the edge"},
		"shallow-relief": {"amplitude", "a larger amplitude, or surface = \"flat\""},
		"narrow-gap":     {"sunk", "make the sunk terrace wider"},
		"rough-stand":    {"surface", "surface = \"flat\", or a [[base.stand]] for a flat pad"},
		"hair":           {"", moveBase},
		"overhang":       {"sunk", "a flatter bank"},
		"uneven-risers":  {"surface", "surface = \"flat\", or paving at the foot and the head of the stair"},
	},
	"deck": {
		"thin-wall":     {"thickness", "a thicker deck"},
		"thin-pin":      {"pier", "thicker piers"},
		"slender-pin":   {"pier", "thicker piers, or on = \"walls\" or \"solid\""},
		"narrow-gap":    {"inset", "a larger inset, or on = \"solid\""},
		"island":        {"on", "on = \"solid\", so that the slab is carried all over"},
		"overhang":      {"on", "on = \"solid\", so that the slab is carried all over"},
		"bridge":        {"spacing", "a closer spacing of the piers, or on = \"solid\""},
		"sealed-void":   {"on", "on = \"solid\", or on = \"piers\", which leave a way out"},
		"lidded-void":   {"on", "on = \"solid\", or on = \"piers\", which leave a way out"},
		"suction":       {"on", "on = \"solid\" has no room under it"},
		"neck":          {"pier", "thicker piers"},
		"crumb":         {"", moveBase},
		"hair":          {"", moveBase},
		"rough-stand":   {"edge", "edge = \"plain\" where figures stand, or a [[base.stand]] for a flat pad"},
		"uneven-risers": {"level", "the level that the stair leads to"},
	},
	"stair": {
		"thin-wall":      {"cheek", "thicker flanks, or side = \"solid\""},
		"thin-pin":       {"waist", "a thicker waist, or side = \"solid\""},
		"narrow-gap":     {"side", "side = \"solid\" closes the gaps between the treads"},
		"shallow-relief": {"risers", "fewer risers, so that each shows"},
		"island":         {"side", "side = \"solid\", or a smaller nosing"},
		"overhang":       {"nosing", "a smaller nosing, or side = \"solid\""},
		"bridge":         {"side", "side = \"solid\""},
		"crumb":          {"wear", "less wear chips less off the nosings"},
		"neck":           {"wear", "less wear chips less off the nosings"},
		"hair":           {"", moveBase},
		"rough-stand":    {"going", "a longer going, or a [[base.stand]] for a flat pad"},
		"stair":          {"riser", "riser and going left out follow the profile; else another profile, or profile = \"free\""},
		"uneven-risers":  {"to", "from and to at finished levels, the same as the paving's"},
	},
	"wall": {
		"thin-wall":      {"thickness", "a thicker wall; or move what cuts it here: damage, or the edge of the base"},
		"thin-pin":       {"opening", "fewer or narrower openings, further apart"},
		"slender-pin":    {"ruin", "less ruin, or a thicker wall"},
		"narrow-gap":     {"opening", "wider openings, or none; between stones: a larger [printer] gap"},
		"shallow-relief": {"coursing", "coursing = \"none\", or larger units"},
		"island":         {"opening", "a lower or narrower opening, or print it on supports"},
		"overhang":       {"coping", "coping = \"none\""},
		"bridge":         {"opening", "narrower openings: the lintel spans them"},
		"crumb":          {"ruin", "less ruin, or another seed"},
		"neck":           {"ruin", "less ruin, or another seed"},
		"hair":           {"", moveBase},
		"stand":          {"line", "move the wall, or the stand"},
		"unit":           {"coursing", "coursing = \"block\" or \"ashlar\" has larger units, \"none\" has none"},
	},
	"column": {
		"thin-pin":       {"diameter", "thicker columns"},
		"slender-pin":    {"diameter", "thicker columns, or lower ones"},
		"narrow-gap":     {"flutes", "fewer flutes"},
		"shallow-relief": {"flutes", "fewer flutes, or none"},
		"thin-wall":      {"diameter", "thicker columns, a plain capital and base, or move what cuts them"},
		"overhang":       {"capital", "capital = \"none\", or print it on supports"},
		"island":         {"capital", "capital = \"none\", or print it on supports"},
		"neck":           {"diameter", "thicker columns"},
		"crumb":          {"broken", "broken = 0, or another seed"},
		"hair":           {"", moveBase},
		"stand":          {"at", "move the column, or the stand"},
	},
	"paving": {
		"thin-wall":      {"wear", lessWear + "; or move the base, so that its edge cuts off no sliver here"},
		"thin-pin":       {"stone", "larger stones, or less wear"},
		"hair":           {"", moveBase},
		"slender-pin":    {"recess", "a smaller recess"},
		"narrow-gap":     {"joint", "wider joints, or less wear, which closes some"},
		"shallow-relief": {"recess", "a deeper recess"},
		"overhang":       {"tilt", "less tilt, or less wear"},
		"island":         {"wear", lessWear},
		"crumb":          {"wear", lessWear},
		"neck":           {"wear", lessWear},
		"rough-stand":    {"wear", "less wear, or a [[base.stand]] for a flat pad"},
		"uneven-risers":  {"level", "the level that the stair measures from"},
		"unit":           {"stone", "a larger stone with a wider joint"},
	},
	"rail": {
		"thin-wall":     {"", cutRail},
		"thin-pin":      {"baluster", "a thicker baluster, post and handrail, or infill = \"panel\"; " + cutRail},
		"hair":          {"", moveBase},
		"slender-pin":   {"infill", "infill = \"panel\" holds the handrail all along; or a thicker handrail with closer posts"},
		"narrow-gap":    {"gap", "a wider gap, or infill = \"panel\""},
		"island":        {"spacing", "closer posts, or infill = \"panel\", which carries the handrail"},
		"overhang":      {"infill", "infill = \"panel\" carries the handrail"},
		"bridge":        {"spacing", "closer posts, or infill = \"panel\""},
		"crumb":         {"", cutRail},
		"neck":          {"post", "thicker posts"},
		"stand":         {"inset", "move the stand off the edge"},
		"rail":          {"height", "another height; left out it is 1.1 m"},
		"opening":       {"gap", "a narrower gap, thinner balusters if your printer holds them, or infill = \"panel\""},
		"uneven-risers": {"inset", "move the rail off the treads"},
	},
	"crater": {
		"thin-wall":      {"at", "move it, so that no thin wall is left between it and what is beside it"},
		"thin-pin":       {"roughness", "less roughness, or move it off what it leaves standing"},
		"hair":           {"roughness", "less roughness, or another seed"},
		"slender-pin":    {"at", "move it off what it leaves standing, or spares = [\"its name\"]"},
		"narrow-gap":     {"crack", "wider cracks, or cracks = 0"},
		"shallow-relief": {"cleft", "deeper cracks, or cracks = 0"},
		"island":         {"at", "move it, so that it leaves nothing hanging, or spares = [\"what hangs\"]"},
		"overhang":       {"spall", "spall = 0, or a flatter slope"},
		"bridge":         {"at", "move it, so that it leaves nothing hanging, or spares = [\"what hangs\"]"},
		"sealed-void":    {"depth", "less depth"},
		"lidded-void":    {"depth", "less depth"},
		"uneven-foot":    {"depth", "less depth, or a larger floor of the base"},
		"bow":            {"depth", "less depth, so that more is left under it"},
		"skin":           {"depth", "less depth, or move it off the magnet"},
		"crumb":          {"roughness", "less roughness, or another seed"},
		"neck":           {"roughness", "less roughness, or another seed"},
		"stand":          {"at", "move it off the stand"},
		"rough-stand":    {"at", "move it, or a [[base.stand]] for a flat pad"},
		"uneven-risers":  {"at", "move it off the stair, or spares = [\"the stair's name\"]"},
	},
	"gouge": {
		"thin-wall":      {"width", "a wider gouge, or move it off what is beside it"},
		"thin-pin":       {"roughness", "less roughness, or move it off what it leaves standing"},
		"hair":           {"roughness", "less roughness, or another seed"},
		"slender-pin":    {"roughness", "less roughness, or spares = [\"what it leaves standing\"]"},
		"narrow-gap":     {"width", "a wider gouge"},
		"shallow-relief": {"depth", "a deeper gouge"},
		"island":         {"depth", "less depth, or spares = [\"what hangs\"]"},
		"overhang":       {"roughness", "less roughness"},
		"bridge":         {"depth", "less depth, or spares = [\"what hangs\"]"},
		"uneven-foot":    {"depth", "less depth, or a larger floor of the base"},
		"skin":           {"depth", "less depth, or move it off the magnet"},
		"crumb":          {"roughness", "less roughness, or another seed"},
		"neck":           {"roughness", "less roughness, or another seed"},
		"stand":          {"line", "move it off the stand"},
		"rough-stand":    {"line", "move it, or a [[base.stand]] for a flat pad"},
		"uneven-risers":  {"spares", "spares = [\"the stair's name\"]"},
	},
	"breach": {
		"thin-wall":      {"at", "move it along the wall, away from its end, an opening or the edge of the base; or a wider one"},
		"thin-pin":       {"roughness", "less roughness, or move it away from the end of the wall and its openings"},
		"hair":           {"roughness", "less roughness, or another seed"},
		"slender-pin":    {"at", "move it away from the end of the wall and its openings"},
		"narrow-gap":     {"width", "a wider breach"},
		"shallow-relief": {"roughness", "roughness = 0 leaves plain faces"},
		"island":         {"slope", "a flatter slope, or more height, so that nothing is left to hang over it"},
		"overhang":       {"slope", "a steeper slope has a smaller arch of steps; or more height, so that it is a gap"},
		"bridge":         {"width", "a narrower breach, or more height, so that it is a gap"},
		"uneven-foot":    {"sill", "a sill, so that it stays above the foot"},
		"crumb":          {"roughness", "less roughness, or another seed"},
		"neck":           {"at", "move it along the wall, or less roughness"},
		"stand":          {"at", "move it along the wall, or the stand"},
		"rough-stand":    {"only", "only = [\"its wall\"], or a [[base.stand]] for a flat pad"},
		"uneven-risers":  {"only", "only = [\"its wall\"]"},
	},
	"spill": {
		"thin-wall":      {"sherds", "fewer sherds, larger pieces or another seed; or move the base, so that its edge cuts none of them here"},
		"thin-pin":       {"size", largerBits},
		"hair":           {"size", largerBits},
		"slender-pin":    {"size", largerBits},
		"narrow-gap":     {"amount", fewerBits},
		"shallow-relief": {"size", largerBits},
		"island":         {"amount", fewerBits},
		"overhang":       {"sherds", "fewer sherds"},
		"bridge":         {"sherds", "fewer sherds"},
		"sealed-void":    {"under", "under = \"filled\""},
		"lidded-void":    {"amount", fewerBits},
		"crumb":          {"size", "fewer or larger pieces"},
		"neck":           {"size", "fewer or larger pieces"},
		"stand":          {"amount", "fewer fragments, or move the stand"},
		"rough-stand":    {"amount", "fewer fragments, or a [[base.stand]] for a flat pad"},
		"uneven-risers":  {"reach", "a smaller reach, so that none lies on the treads"},
	},
	"trim": {
		"thin-wall":   {"through", "move the cut, so that it leaves a whole wall or none"},
		"thin-pin":    {"through", "move the cut, so that it leaves a whole post or none"},
		"hair":        {"through", "move the cut a little"},
		"slender-pin": {"through", "move the cut a little"},
		"crumb":       {"through", "move the cut, so that it leaves nothing loose"},
		"neck":        {"through", "move the cut, so that it leaves nothing hanging"},
		"island":      {"through", "move the cut, so that it leaves nothing hanging"},
	},
	"base": {
		"thin-wall":     {"wall", "a thicker wall round the hollow, or underside = \"solid\""},
		"thin-pin":      {"at", "move the base a little"},
		"hair":          {"at", "move the base a little, so that its edge leaves no splinter"},
		"slender-pin":   {"at", "move the base a little"},
		"narrow-gap":    {"at", "move the base a little"},
		"island":        {"roof", "underside = \"solid\", or print it tilted on supports"},
		"overhang":      {"taper", "a smaller taper or chamfer, or print it on supports"},
		"bridge":        {"ribs", "more ribs under the roof, or underside = \"solid\""},
		"sealed-void":   {"vent", "vents, or underside = \"solid\""},
		"lidded-void":   {"vent", "vents, or underside = \"solid\""},
		"vent":          {"height", "a higher rim or a thinner roof, for taller vents; or vents and ribs so that two vents fit into each room"},
		"suction":       {"underside", "underside = \"solid\", wider vents, or print it tilted on supports"},
		"foot":          {"chamfer", "chamfer = 0.4"},
		"uneven-foot":   {"floor", "a larger floor, so that nothing reaches through the foot"},
		"bow":           {"height", "a higher rim, or print it tilted on supports"},
		"plate":         {"", "a smaller footprint or a lower top, or a printer with a larger plate"},
		"pocket":        {"magnet.clearance", "a larger clearance or depth"},
		"skin":          {"magnet.skin", "skin = 0.8, under a higher rim or over a thinner magnet"},
		"stand":         {"stand.at", "move the stand, or give it more height"},
		"rough-stand":   {"stand", "a [[base.stand]] gives a flat pad"},
		"crumb":         {"at", "move the base a little, or rim = \"whole\""},
		"neck":          {"rim", "rim = \"whole\", or move the base a little"},
		"uneven-risers": {"at", "move the base a little"},
	},
}
