// Package spill holds the spill: debris that comes from damage or lies over a region. Its
// fragments are let down one by one, the largest first, and rest on what is under them.
package spill
