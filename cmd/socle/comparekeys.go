package main

import "socle/scenes"

// changedKey is a value of the scene that is another in B, as its text has it.
type changedKey struct {
	Path    string `json:"path"`
	Was     string `json:"was,omitempty"`
	Now     string `json:"now,omitempty"`
	Added   bool   `json:"added,omitempty"`   // A has no such key
	Removed bool   `json:"removed,omitempty"` // B has none
}

// keysBetween lists the values that differ between two scenes.
func keysBetween(a, b *scenes.Scene) []changedKey { return []changedKey{} }
