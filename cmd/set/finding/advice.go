package finding

import (
	"fmt"
	"strings"

	"socle/cmd/set/words"
)

// Advice is what came of trying to clear a finding.
type Advice struct {
	Tried  int      `json:"tried"`  // changes that were looked at for the findings of its part
	Clears []Change `json:"clears"` // those that clear it and bring nothing as grave anywhere, the first to be taken; none: none was found
}

// Change is values to put in place of others, as --set takes them.
type Change []string

func (c Change) String() string { return strings.Join(c, " with ") }

// ToChange says what to change, and on what ground: a lead and a text.
func (f *Finding) ToChange() (lead, text string) {
	switch {
	case f.Advice == nil:
		return "May help (not tested): ", f.Change
	case len(f.Advice.Clears) == 0:
		return "To change: ", fmt.Sprintf("none found: %s tried, and none clears it. May help: %s",
			words.Count(f.Advice.Tried, "change was", "changes were"), f.Change)
	case len(f.Advice.Clears) == 1:
		return "To change: ", f.Advice.Clears[0].String() + " clears it (tested)"
	}
	return "To change: ", fmt.Sprintf("%s clears it (tested); so does %s", f.Advice.Clears[0], f.Advice.Clears[1])
}

// Combined is the change that clears all that could be cleared, and what is left with it.
type Combined struct {
	Set   []string `json:"set"` // as --set takes them
	Tally Tally    `json:"tally"`
}
