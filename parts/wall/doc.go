// Package wall holds the wall and the breach that is broken through one. A wall settles
// its masonry once for a site, and where it is coursed its courses; the breach breaks
// the same courses.
package wall
