// Package pockmarks is what fragments leave on walls and floors: many small bowls. Sizes and
// places are laid once for a site (lay.go); the cut, the plan and the sights read them.
package pockmarks
