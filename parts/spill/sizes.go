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
	// mostAcross is how large the greatest fragment is at most where the scene gives no
	// size, over how far across the debris lies. Common practice, no source.
	mostAcross = 1.0 / 6
	// finesShare is how much fines cover beside the fragments, over what those cover.
	// Common practice, no source.
	finesShare = 0.1
	// mostFines bounds them.
	mostFines = 10_000
)

// leastPrinted is the size of the least fragment that prints, mm: it stands out
// by the least relief, and is no hair.
func leastPrinted(s *parts.Site) float64 {
	return math.Max(s.Print.Relief/fragmentRelief, s.Printer.LeastPin()/fragmentWidth)
}

// leastThick is the thickness of the thinnest fragment that prints, mm: what stands out of
// its bed is the least relief, and its edge is a wall that prints.
func leastThick(s *parts.Site) float64 {
	return math.Max(s.Print.Relief/0.7, s.Printer.JoinedWall())
}

// sherdThickness is how thick a sherd of a size is drawn, mm.
func sherdThickness(s *parts.Site, size float64) float64 {
	thick := max(0.18*size, s.Print.Relief/0.7, s.Printer.JoinedWall()+sherdTaper*size)
	return math.Min(thick, size)
}

// spillSizes are what a spill settles before it is laid: where it lies, what it is made of
// as drawn, and its notes on that.
type spillSizes struct {
	strewing
	lies  bool // false where the damage that it comes from is not there: the other fields then mean nothing
	law   sizeLaw
	stuff []stuff
	count int     // of fragments
	fine  float64 // size of the fines: the least that prints, mm
	fines int
	heaps []heapSizes // none where the debris lies in none
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
	z.law = p.law(s, z.across(), &notes)
	z.fine = leastPrinted(s)
	z.stuff = p.stuffs(s, z.strewing, z.law, &notes)
	z.notes = notes.List
	z.portion(p)
	z.heaps = p.heapsSizes(s, z)
	return z
}

// law is the law of the sizes of debris that lies so far across, mm. Sizes are raised to what
// prints, with a note where the scene gives them.
func (p *Spill) law(s *parts.Site, across float64, notes *parts.Notes) sizeLaw {
	prints := leastPrinted(s)
	l := sizeLaw{exponent: p.Exponent}
	if p.Size == nil {
		l.least = math.Max(s.OnPrint(fullFragment), prints)
		l.most = math.Max(math.Min(10*l.least, mostAcross*across), l.least)
		return l
	}
	l.least, l.most = p.Size[0], p.Size[1]
	if l.least < prints {
		notes.Add("size", "fragments of %.2f mm are drawn at %.2f mm at least, so that they print", l.least, prints)
		l.least, l.most = prints, math.Max(prints, l.most)
	}
	return l
}

// heapReach is how far from the debris a heap may lie, mm.
func (z *spillSizes) heapReach() (far float64) {
	for i := range z.heaps {
		far = math.Max(far, z.heaps[i].radius)
	}
	return far
}

// portion works out how many pieces there are of each matter: what it covers is its share.
func (z *spillSizes) portion(p *Spill) {
	total := 0.0 // of pieces, for each mm2 covered
	for _, x := range z.stuff {
		total += x.share / x.cover
	}
	pieces := 0.0
	if p.Count != nil {
		pieces = float64(*p.Count)
	} else {
		amount := spillAmount
		if p.Amount != nil {
			amount = *p.Amount
		}
		pieces = math.Min(math.Ceil(amount*z.size()*total), parts.MaxPieces+1)
	}
	z.count = int(pieces)
	sum, given := 0.0, 0
	for i := range z.stuff {
		x := &z.stuff[i]
		sum += x.share / x.cover / total
		upTo := int(math.Round(sum * pieces))
		if i == len(z.stuff)-1 {
			upTo = z.count
		}
		x.count, given = upTo-given, upTo
	}
	covered := 0.0
	for _, x := range z.stuff {
		covered += float64(x.count) * x.cover
	}
	z.fines = int(math.Min(finesShare*covered/(fragmentWidth*z.fine*z.fine), float64(min(z.count/2, mostFines))))
}
