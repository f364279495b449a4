package spill

import (
	"math"

	"socle/parts"
)

const (
	spillAmount = 0.25
	spillReach  = 2.5
	// fullFragment is the least fragment drawn where the scene gives no size, mm full size.
	fullFragment = 150
	// fragmentRelief is how much of a fragment's size stands out at least.
	fragmentRelief = 0.6
	// fragmentWidth is the least width of a block over its size (newBlock).
	fragmentWidth = 0.65
	// sherdTaper is how much a sherd may lose of its thickness from the middle to
	// its edge, over its size: its top leans up to 5 degrees (newSherd).
	sherdTaper = 0.045
	// fragmentCover is the mean area that a fragment covers, over the square of
	// its size: a measured mean of blocks and sherds alike.
	fragmentCover = 0.6
)

// leastPrinted is the size of the least fragment that prints, mm: it stands out
// by the least relief, and is no hair.
func leastPrinted(s *parts.Site) float64 {
	return math.Max(s.Print.Relief/fragmentRelief, s.Printer.LeastPin()/fragmentWidth)
}

// sherdThickness is how thick a sherd of a size is drawn, mm: what stands out of
// its bed is the least relief, and its edge is a wall that prints.
func sherdThickness(s *parts.Site, size float64) float64 {
	thick := max(0.18*size, s.Print.Relief/0.7, s.Printer.JoinedWall()+sherdTaper*size)
	return math.Min(thick, size)
}

// spillSizes are what a spill settles before it is laid: where it lies, the law of its
// sizes as drawn, and its notes on that.
type spillSizes struct {
	strewing
	lies  bool // false where the damage that it comes from is not there: the other fields then mean nothing
	law   sizeLaw
	count int // of fragments
	notes []parts.Note
}

func (p *Spill) settled(s *parts.Site) *spillSizes {
	return parts.Settled(s, p, func() *spillSizes { return p.settle(s) })
}

func (p *Spill) settle(s *parts.Site) *spillSizes {
	z := &spillSizes{}
	if z.strewing, z.lies = p.strewing(s); !z.lies {
		return z
	}
	notes := parts.Notes{Part: p.Name}
	z.law = p.law(s, z.radius, &notes)
	z.notes = notes.List
	z.count = p.count(z.strewing, z.law)
	return z
}

// law is the law of the sizes of debris from damage of a radius, mm, 0 over an area.
// Sizes are raised to what prints, with a note where the scene gives them.
func (p *Spill) law(s *parts.Site, radius float64, notes *parts.Notes) sizeLaw {
	prints := leastPrinted(s)
	l := sizeLaw{exponent: p.Exponent}
	if p.Size == nil {
		l.least = math.Max(s.OnPrint(fullFragment), prints)
		l.most = 10 * l.least
		if radius > 0 {
			l.most = math.Max(math.Min(l.most, radius/3), l.least)
		}
		return l
	}
	l.least, l.most = p.Size[0], p.Size[1]
	if l.least < prints {
		notes.Add("size", "fragments of %.2f mm are drawn at %.2f mm at least, so that they print", l.least, prints)
		l.least, l.most = prints, math.Max(prints, l.most)
	}
	return l
}

// count is the number of fragments.
func (p *Spill) count(w strewing, l sizeLaw) int {
	if p.Count != nil {
		return *p.Count
	}
	amount := spillAmount
	if p.Amount != nil {
		amount = *p.Amount
	}
	n := amount * w.size() / (fragmentCover * l.meanSquare())
	return int(math.Min(math.Ceil(n), parts.MaxPieces+1))
}
