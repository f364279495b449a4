package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"socle/parts"
)

// growth is one count or list of a scene or of the command line: what is written with
// n of it. The sweep of them all, by BenchmarkGrowth, tells how the cost grows with n.
type growth struct {
	of    string             // "crater", "crater.cracks", "variant.set", "--set"
	most  int                // of n, as the reader or a rule has it
	scene func(n int) string // what the scene has beside head
	args  func(n int) []string
}

// plot is the side of the square, mm, that everything of a sweep lies on, and that its
// one base is cut from.
const plot = 40

// growthHead is a plain place, and growthBase its base.
const (
	growthHead = `[scale]
ratio = 100
[levels]
yard = 3
`
	growthGround = `[ground]
size = [120, 120]
level = "yard"
`
	growthBase = `[[base]]
name = "b"
square = 40
at = [60, 60]
`
	growthWall = `[[wall]]
name = "w"
line = [[42, 60], [78, 60]]
from = "yard"
height = 12
`
)

// text is the scene with n of it.
func (g growth) text(n int) string {
	text := g.scene(n)
	if !strings.Contains(text, "[ground]") {
		text += growthGround
	}
	if !strings.Contains(text, "[[base]]") {
		text += growthBase
	}
	return growthHead + text
}

// each writes n blocks, spread over the plot; block is given the middle of its own
// place and how wide that is, mm.
func each(block func(i int, x, y, wide float64) string) func(n int) string {
	return func(n int) string {
		side := max(1, int(math.Ceil(math.Sqrt(float64(n)))))
		wide := float64(plot) / float64(side)
		var b strings.Builder
		for i := range n {
			b.WriteString(block(i, 40+(float64(i%side)+0.5)*wide, 40+(float64(i/side)+0.5)*wide, wide))
		}
		return b.String()
	}
}

// listed writes n items into a list, between what opens and what ends it.
func listed(open, end string, item func(i int, x, y, wide float64) string) func(n int) string {
	return func(n int) string {
		return open + strings.TrimSuffix(each(func(i int, x, y, wide float64) string { return item(i, x, y, wide) + ", " })(n), ", ") + end
	}
}

// numbered writes a block with the number in it.
func numbered(format string) func(n int) string {
	return func(n int) string { return fmt.Sprintf(format, n) }
}

// star is a polygon of n corners about the middle of the plot, every other one far in:
// no side is in sight of most of the others.
func star(n int) string {
	corners := make([]string, max(8, n))
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(corners)))
		r := 18.0
		if i%2 == 1 {
			r = 6
		}
		corners[i] = fmt.Sprintf("[%.6f, %.6f]", 60+r*cos, 60+r*sin)
	}
	return "{ polygon = [" + strings.Join(corners, ", ") + "] }"
}

// starred writes a block with the star in it.
func starred(format string) func(n int) string {
	return func(n int) string { return fmt.Sprintf(format, star(n)) }
}

// zigzag is a line of n points over the plot, in rows, so that it crosses itself nowhere.
func zigzag(n int) string {
	n = max(n, 2)
	rows := max(2, int(math.Ceil(math.Sqrt(float64(n)/4))))
	each := max(2, (n+rows-1)/rows)
	var points []string
	for i := range n {
		row, k := i/each, i%each
		if row%2 == 1 {
			k = each - 1 - k
		}
		pitch := 36 / float64(rows)
		points = append(points, fmt.Sprintf("[%.6f, %.6f]", 42+36*float64(k)/float64(each-1), 42+(float64(row)+0.25+0.4*float64(i%2))*pitch))
	}
	return "[" + strings.Join(points, ", ") + "]"
}

// zigzagged writes a block with the line in it.
func zigzagged(format string) func(n int) string {
	return func(n int) string { return fmt.Sprintf(format, zigzag(n)) }
}

// posts are n small decks for damage to name.
func posts(n int) (text, names string) {
	var all []string
	text = each(func(i int, x, y, wide float64) string {
		all = append(all, fmt.Sprintf("%q", fmt.Sprintf("d%d", i)))
		return fmt.Sprintf("[[deck]]\nname = \"d%d\"\nlevel = 6\narea = { rect = [%.4f, %.4f, %.4f, %.4f] }\n", i, x-wide/4, y-wide/4, wide/2, wide/2)
	})(n)
	return text, "[" + strings.Join(all, ", ") + "]"
}

// named writes n posts and a block that names them.
func named(format string) func(n int) string {
	return func(n int) string {
		text, names := posts(n)
		return text + fmt.Sprintf(format, names)
	}
}

// growthsByNarrowing are the lists of the parts that damage is narrowed to, and of those that
// it spares. Damage to the wall "w" may not leave that out.
func growthsByNarrowing() (all []growth) {
	for _, d := range []struct{ of, keys, to string }{
		{"crater", "at = [60, 60]\ndiameter = 24\n", ""},
		{"gouge", "from = [45, 45]\nto = [75, 75]\nwidth = 6\ndepth = 2\n", ""},
		{"pockmarks", "at = [60, 60]\nreach = 18\n", ""},
		{"collapse", "of = \"w\"\nstump = 2\n", `"w", `},
		{"breach", "wall = \"w\"\nat = 18\nwidth = 8\nheight = 6\n", `"w", `},
	} {
		head := "[[" + d.of + "]]\n" + d.keys
		only := growth{of: d.of + ".only", most: 1000, scene: func(n int) string {
			text, names := posts(n)
			return growthWall + text + head + "only = [" + d.to + names[1:] + "\n"
		}}
		if d.to != "" {
			only.most--
		}
		all = append(all, only, growth{of: d.of + ".spares", most: 1000, scene: func(n int) string {
			text, names := posts(n)
			return growthWall + text + head + "spares = " + names + "\n"
		}})
	}
	return all
}

// growths are all counts and lists that there are: TestEveryCountIsSwept sees to that.
func growths() []growth {
	return append(append(growthsByNarrowing(), growthsByKeys("barrel barricade beams bench bollard boulder cable-drum crack crate drain-cover drum duckboards duct fence front girder grating hedge kerb lamp-post log "+
		"obstacle outcrop pallet pipe reeds revetment sacks sandbags shutter sign stack stakes stump tank track trench trestle")...), []growth{
		{of: "levels", most: 999, scene: func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "l%d = %.4f\n", i, 3+float64(i)/float64(n))
			}
			return b.String()
		}},
		{of: "variant", most: 64, scene: func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "[[variant]]\nname = \"v%d\"\nset = { \"levels.yard\" = %d }\n", i, 3+i)
			}
			return b.String()
		}},
		{of: "variant.set", most: 200, scene: func(n int) string {
			var set []string
			for i := range n {
				set = append(set, fmt.Sprintf("\"column.c%d.height\" = 5", i))
			}
			return each(func(i int, x, y, wide float64) string {
				return fmt.Sprintf("[[column]]\nname = \"c%d\"\nat = [[%.4f, %.4f]]\nlevel = \"yard\"\nheight = 4\ndiameter = 1\n", i, x, y)
			})(n) + "[[variant]]\nname = \"v\"\nset = { " + strings.Join(set, ", ") + " }\n"
		}},
		{of: "group", most: 200, scene: func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "[[group]]\nname = \"g%d\"\n[[group.barrel]]\nat = [[0, 0]]\n", i)
			}
			return b.String()
		}},
		{of: "group.with", most: 200, scene: func(n int) string {
			var with []string
			var b strings.Builder
			for i := range n {
				with = append(with, fmt.Sprintf("v%d = %d", i, i))
				fmt.Fprintf(&b, "[[group.barrel]]\nat = [[0, 0]]\nseed = \"$v%d\"\n", i)
			}
			return "[[group]]\nname = \"g\"\nwith = { " + strings.Join(with, ", ") + " }\n" + b.String()
		}},
		{of: "place", most: 1000, scene: func(n int) string {
			return "[[group]]\nname = \"g\"\n[[group.barrel]]\nat = [[0, 0]]\n" + each(func(_ int, x, y, _ float64) string {
				return fmt.Sprintf("[[place]]\ngroup = \"g\"\nat = [[%.4f, %.4f]]\n", x, y)
			})(n)
		}},
		{of: "place.at", most: 1000, scene: listed("[[group]]\nname = \"g\"\n[[group.barrel]]\nat = [[0, 0]]\n[[place]]\ngroup = \"g\"\nat = [", "]\n", func(_ int, x, y, _ float64) string {
			return fmt.Sprintf("[%.4f, %.4f]", x, y)
		})},
		{of: "place.set", most: 200, scene: func(n int) string {
			var with, set []string
			var b strings.Builder
			for i := range n {
				with, set = append(with, fmt.Sprintf("v%d = %d", i, i)), append(set, fmt.Sprintf("v%d = %d", i, i+1))
				fmt.Fprintf(&b, "[[group.barrel]]\nat = [[0, 0]]\nseed = \"$v%d\"\n", i)
			}
			return "[[group]]\nname = \"g\"\nwith = { " + strings.Join(with, ", ") + " }\n" + b.String() + "[[place]]\ngroup = \"g\"\nat = [[60, 60]]\nset = { " + strings.Join(set, ", ") + " }\n"
		}},
		{of: "printer.first-layers", most: 100, scene: numbered("[printer]\nfirst-layers = %d\n")},

		{of: "column", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[column]]\nat = [[%.4f, %.4f]]\nlevel = \"yard\"\nheight = 4\nbase = \"none\"\ncapital = \"none\"\ndiameter = %.4f\n", x, y, wide/3)
		})},
		{of: "column.at", most: 10_000, scene: listed("[[column]]\nlevel = \"yard\"\nheight = 4\ndiameter = 0.5\nat = [", "]\n", func(_ int, x, y, _ float64) string {
			return fmt.Sprintf("[%.4f, %.4f]", x, y)
		})},
		{of: "column.flutes", most: 64, scene: numbered("[[column]]\nlevel = \"yard\"\nheight = 36\ndiameter = 24\nat = [[60, 60]]\nflutes = %d\n")},

		{of: "deck", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[deck]]\nlevel = 6\narea = { rect = [%.4f, %.4f, %.4f, %.4f] }\n", x-wide/3, y-wide/3, wide/1.5, wide/1.5)
		})},
		{of: "deck.area.polygon", most: 1000, scene: starred("[[deck]]\nlevel = 8\narea = %s\nedge = \"kerb\"\non = \"piers\"\n")},

		{of: "ground.sunk", most: 1000, scene: listed(growthGround+"sunk = [", "]\n", func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("{ area = { rect = [%.4f, %.4f, %.4f, %.4f] }, level = 2, bank = 60 }", x-wide/3, y-wide/3, wide/1.5, wide/1.5)
		})},
		{of: "ground.raised", most: 1000, scene: listed(growthGround+"raised = [", "]\n", func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("{ area = { rect = [%.4f, %.4f, %.4f, %.4f] }, level = 5, bank = 60 }", x-wide/3, y-wide/3, wide/1.5, wide/1.5)
		})},
		{of: "ground.sunk.area.polygon", most: 1000, scene: starred(growthGround + "sunk = [{ area = %s, level = 1, bank = 60 }]\n")},
		{of: "ground.raised.area.polygon", most: 1000, scene: starred(growthGround + "raised = [{ area = %s, level = 8, bank = 60 }]\n")},

		{of: "stair", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[stair]]\nfrom = \"yard\"\nto = 6\nfoot = [%.4f, %.4f]\nfacing = \"north\"\nwidth = %.4f\nrisers = 3\ngoing = %.4f\nprofile = \"free\"\n", x, y-wide/3, max(0.5, wide/2), wide/5)
		})},
		{of: "stair.risers", most: 1000, scene: func(n int) string {
			return fmt.Sprintf("[[stair]]\nfrom = \"yard\"\nto = 33\nfoot = [60, 42]\nfacing = \"north\"\nwidth = 10\nrisers = %d\ngoing = %.4f\nprofile = \"free\"\nflanks = \"string\"\nwear = 0.5\n", n, max(0.05, 36/float64(n)))
		}},

		{of: "wall", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[wall]]\nline = [[%.4f, %.4f], [%.4f, %.4f]]\nfrom = \"yard\"\nheight = 4\nthickness = %.4f\n", x-wide/3, y, x+wide/3, y, wide/4)
		})},
		{of: "wall.line", most: 10_000, scene: zigzagged("[[wall]]\nfrom = \"yard\"\nheight = 4\nthickness = 0.5\nline = %s\n")},
		{of: "wall.opening", most: 1000, scene: func(n int) string {
			var all []string
			for i := range n {
				all = append(all, fmt.Sprintf("{ at = %.4f, width = 0.4, head = 3 }", (float64(i)+0.5)*3900/float64(n)))
			}
			return "[ground]\nsize = [4000, 120]\nlevel = \"yard\"\n[[wall]]\nfrom = \"yard\"\nheight = 6\nthickness = 1\nline = [[12, 60], [3950, 60]]\nopening = [" + strings.Join(all, ", ") + "]\n"
		}},

		{of: "paving", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[paving]]\nlevel = \"yard\"\narea = { rect = [%.4f, %.4f, %.4f, %.4f] }\nstone = [4, 3]\n", x-wide/2, y-wide/2, wide, wide)
		})},
		{of: "paving.path", most: 10_000, scene: zigzagged("[[paving]]\nlevel = \"yard\"\narea = { rect = [40, 40, 40, 40] }\nstone = [6, 4]\npath = %s\n")},
		{of: "paving.area.polygon", most: 1000, scene: starred("[[paving]]\nlevel = \"yard\"\nstone = [6, 4]\narea = %s\n")},

		{of: "rail", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[rail]]\nline = [[%.4f, %.4f], [%.4f, %.4f]]\nlevel = \"yard\"\ninfill = \"none\"\n", x-wide/3, y, x+wide/3, y)
		})},
		{of: "rail.line", most: 10_000, scene: zigzagged("[[rail]]\nlevel = \"yard\"\nline = %s\n")},
		{of: "rail.rails", most: 20, scene: numbered("[[rail]]\nlevel = \"yard\"\nline = [[42, 60], [78, 60]]\nheight = 30\ninfill = \"rails\"\nrails = %d\n")},

		{of: "ladder", most: 2000, scene: each(func(_ int, x, y, _ float64) string {
			return fmt.Sprintf("[[ladder]]\nat = [%.4f, %.4f]\nfacing = \"north\"\nheight = 6\n", x, y)
		})},
		{of: "pool", most: 2000, scene: each(func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("[[pool]]\narea = { round = [%.4f, %.4f, %.4f] }\nstones = 0\nstubs = 0\nleaves = 0\n", x, y, max(8, wide/2))
		})},
		{of: "pool.area.polygon", most: 1000, scene: starred("[[pool]]\narea = %s\n")},
		{of: "pool.stones", most: 60, scene: numbered("[[pool]]\narea = { round = [60, 60, 30] }\nstones = %d\n")},
		{of: "pool.stubs", most: 60, scene: numbered("[[pool]]\narea = { round = [60, 60, 30] }\nstubs = %d\n")},
		{of: "pool.leaves", most: 60, scene: numbered("[[pool]]\narea = { round = [60, 60, 30] }\nleaves = %d\n")},
		{of: "storey", most: 2000, scene: each(func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("[[storey]]\nlevel = 9\narea = { rect = [%.4f, %.4f, %.4f, %.4f] }\n", x, y, max(7, wide/1.5), max(7, wide/1.5))
		})},
		{of: "storey.opening", most: 20, scene: listed("[[storey]]\nlevel = 9\narea = { rect = [44, 44, 32, 32] }\nopening = [", "]\n", func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("{ area = { rect = [%.4f, %.4f, %.4f, %.4f] } }", 45+(x-40)*0.7, 45+(y-40)*0.7, wide/3, wide/3)
		})},
		{of: "roof", most: 2000, scene: each(func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("[[roof]]\neaves = 6\nridge = 9\narea = { rect = [%.4f, %.4f, %.4f, %.4f] }\n", x, y, max(7, wide/1.5), max(7, wide/1.5))
		})},
		{of: "pockmarks", most: 2000, scene: each(func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("[[pockmarks]]\nat = [%.4f, %.4f]\nreach = %.4f\ncount = 1\n", x, y, max(1, wide/2))
		})},
		{of: "pockmarks.area.polygon", most: 1000, scene: starred("[[pockmarks]]\narea = %s\n")},
		{of: "pockmarks.count", most: 1000, scene: numbered("[[pockmarks]]\nat = [60, 60]\nreach = 18\ncount = %d\n")},
		{of: "collapse", most: 2000, scene: func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "[[collapse]]\nof = \"w\"\nfrom = %.4f\nto = %.4f\nstump = 2\n", 34*float64(i)/float64(n), 34*float64(i)/float64(n)+2)
			}
			return growthWall + b.String()
		}},
		{of: "collapse.area.polygon", most: 1000, scene: starred("[[deck]]\nname = \"f\"\nlevel = 12\narea = { rect = [40, 40, 40, 40] }\non = \"piers\"\n[[collapse]]\nof = \"f\"\narea = %s\n")},
		{of: "breach", most: 2000, scene: func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "[[breach]]\nwall = \"w\"\nat = %.4f\nwidth = 0.4\nheight = 0.5\nsill = 2\n", 1+(float64(i)+0.5)*34/float64(n))
			}
			return growthWall + b.String()
		}},

		{of: "crater", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[crater]]\nat = [%.4f, %.4f]\ndiameter = %.4f\ncracks = 0\nspall = 0\n", x, y, max(2, wide/2))
		})},
		{of: "crater.cracks", most: 24, scene: numbered("[[crater]]\nat = [60, 60]\ndiameter = 24\nspall = 0\ncracks = %d\n")},
		{of: "crater.spall", most: 24, scene: numbered("[[crater]]\nat = [60, 60]\ndiameter = 24\ncracks = 0\nspall = %d\n")},

		{of: "gouge", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[gouge]]\nfrom = [%.4f, %.4f]\nto = [%.4f, %.4f]\nwidth = %.4f\ndepth = 0.4\n", x-wide/3, y, x+wide/3, y, max(0.3, wide/4))
		})},
		{of: "gouge.line", most: 1000, scene: zigzagged("[[gouge]]\nwidth = 0.6\ndepth = 0.4\nline = %s\n")},

		{of: "spill", most: 2000, scene: each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[spill]]\narea = { rect = [%.4f, %.4f, %.4f, %.4f] }\ncount = 2\nsize = [0.5, 1]\n", x-wide/3, y-wide/3, wide/1.5, wide/1.5)
		})},
		{of: "spill.area.polygon", most: 1000, scene: starred("[[spill]]\ncount = 200\narea = %s\n")},
		{of: "spill.of", most: 1000, scene: named("[[spill]]\narea = { rect = [40, 40, 40, 40] }\ncount = 20\nof = %s\n")},
		{of: "spill.count", most: 200_000, scene: numbered("[[spill]]\narea = { rect = [40, 40, 40, 40] }\nsize = [0.2, 1]\ncount = %d\n")},

		{of: "trim", most: 2000, scene: func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "[[trim]]\nthrough = [60, 60]\nfacing = %.4f\n", 90*float64(i)/float64(n))
			}
			return strings.ReplaceAll(b.String(), "[60, 60]", "[2, 2]")
		}},
		{of: "trim.area.polygon", most: 1000, scene: func(n int) string {
			return fmt.Sprintf("[[trim]]\narea = %s\n", star(n)) + "[[base]]\nname = \"b\"\nround = 10\nat = [60, 60]\n"
		}},

		{of: "base", most: 300, scene: func(n int) string {
			return "[ground]\nsize = [800, 800]\nlevel = \"yard\"\n" + each(func(i int, _, _, _ float64) string {
				return fmt.Sprintf("[[base]]\nname = \"b%d\"\nround = 10\n", i)
			})(n)
		}},
		{of: "base.count", most: 200, scene: numbered("[ground]\nsize = [800, 800]\nlevel = \"yard\"\n[[base]]\nname = \"b\"\nround = 10\ncount = %d\n")},
		{of: "base.ribs", most: 12, scene: numbered(growthBase + "underside = \"hollow\"\nribs = %d\n")},
		{of: "base.magnet", most: 48, scene: listed(growthBase+"height = 6\nmagnet = [", "]\n", func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("{ disc = [%.4f, 1], at = [[%.4f, %.4f]] }", max(0.5, wide/3), (x-60)*0.8, (y-60)*0.8)
		})},
		{of: "base.magnet.at", most: 48, scene: listed(growthBase+"height = 6\nmagnet = [{ disc = [0.5, 1], at = [", "] }]\n", func(_ int, x, y, _ float64) string {
			return fmt.Sprintf("[%.4f, %.4f]", (x-60)*0.8, (y-60)*0.8)
		})},
		{of: "base.magnet.count", most: 24, scene: numbered(growthBase + "height = 6\nmagnet = [{ disc = [1, 1], count = %d }]\n")},
		{of: "base.stand", most: 100, scene: listed(growthBase+"stand = [", "]\n", func(_ int, x, y, wide float64) string {
			return fmt.Sprintf("{ at = [%.4f, %.4f], round = %.4f }", (x-60)*0.8, (y-60)*0.8, max(2, wide/3))
		})},

		{of: "--set", most: 200, scene: func(n int) string {
			return each(func(i int, x, y, wide float64) string {
				return fmt.Sprintf("[[column]]\nname = \"c%d\"\nat = [[%.4f, %.4f]]\nlevel = \"yard\"\nheight = 4\ndiameter = 1\n", i, x, y)
			})(n)
		}, args: func(n int) (args []string) {
			for i := range n {
				args = append(args, "--set", fmt.Sprintf("column.c%d.height=5", i))
			}
			return args
		}},
	}...)
}

// growthsByKeys are the counts and lists of kinds that need nothing but a place: their own
// number, the lists that say where they are, and every count among their keys.
func growthsByKeys(words string) (all []growth) {
	const line = " = [[44, 60], [76, 60]]\n"
	for _, word := range strings.Fields(words) {
		keys := parts.KindOf(word).Keys()
		has := func(name string) bool {
			return slices.ContainsFunc(keys, func(k parts.Key) bool { return k.Word == name })
		}
		head, place := "[["+word+"]]\n", "line"+line
		one := func(x, y, wide float64) string { // at a place of its own
			return fmt.Sprintf("%s = [[%.4f, %.4f], [%.4f, %.4f]]\n", place[:strings.Index(place, " ")], x-wide/3, y, x+wide/3, y)
		}
		switch {
		case has("at"):
			place = "at = [[60, 60]]\n"
			one = func(x, y, _ float64) string { return fmt.Sprintf("at = [[%.4f, %.4f]]\n", x, y) }
		case has("line"):
			place = "line" + line
		}
		all = append(all, growth{of: word, most: 2000, scene: each(func(_ int, x, y, wide float64) string { return head + one(x, y, wide) })})
		for _, k := range keys {
			g := growth{of: word + "." + k.Word}
			switch {
			case k.Word == "at":
				g.most, g.scene = 2000, listed(head+"at = [", "]\n", func(_ int, x, y, _ float64) string { return fmt.Sprintf("[%.4f, %.4f]", x, y) })
			case k.Word == "along" || k.Word == "line":
				g.most, g.scene = parts.MostCorners, zigzagged(head+k.Word+" = %s\n")
			case k.Word == "area":
				g.of += ".polygon"
				g.most, g.scene = parts.MostCorners, starred(head+"area = %s\n")
			case k.Type == parts.Count:
				g.most, g.scene = int(*k.Max), numbered(head+place+k.Word+" = %d\n")
			case k.Type == parts.Refs:
				g.most, g.scene = 1000, named(head+place+k.Word+" = %s\n")
			default:
				continue
			}
			all = append(all, g)
		}
	}
	return all
}
