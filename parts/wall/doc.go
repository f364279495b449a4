// Package wall is the wall, and the breach that is broken into one.
package wall
