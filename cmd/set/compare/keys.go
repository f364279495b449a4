package compare

import "socle/scenes"

// ChangedKey is a value that the two scenes do not have alike, as their texts have it.
type ChangedKey struct {
	Path    string `json:"path"`
	Was     string `json:"was,omitempty"`     // "" where A leaves it out
	Now     string `json:"now,omitempty"`     // "" where B does
	Added   bool   `json:"added,omitempty"`   // a part that only B has
	Removed bool   `json:"removed,omitempty"` // a part that only A has
}

// keysBetween lists the values that differ between two scenes.
func keysBetween(a, b *scenes.Scene) []ChangedKey {
	all := []ChangedKey{}
	for _, d := range scenes.Differences(a, b) {
		all = append(all, ChangedKey(d))
	}
	return all
}

// Words tells a changed value.
func (k *ChangedKey) Words() string {
	switch {
	case k.Added:
		return "only in B"
	case k.Removed:
		return "only in A"
	case k.Was == "":
		return "left out -> " + k.Now
	case k.Now == "":
		return k.Was + " -> left out"
	}
	return k.Was + " -> " + k.Now
}
