package parts

import "fmt"

// Notes are what one part decides for its maker, in the order of its decisions: a part
// makes them while it settles its sizes, and keeps them.
type Notes struct {
	Part string // the part's name
	List []Note
}

// Add adds a note on a key, "" for the part as a whole.
func (n *Notes) Add(key, format string, args ...any) {
	n.List = append(n.List, Note{Part: n.Part, Key: key, Text: fmt.Sprintf(format, args...)})
}

// AtLeast gives a size in mm, or the least that the printer can hold, with a note that
// the size is raised to it. What says of what that is the least: "pin".
func (n *Notes) AtLeast(key string, v, least float64, what string) float64 {
	if v >= least {
		return v
	}
	n.Add(key, "%.2f mm on the print is drawn at %.2f mm, the least %s", v, least, what)
	return least
}
