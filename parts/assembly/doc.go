// Package assembly puts a site together: it checks it, lays its bases, joins its parts in
// the order of work, strikes the damage and cuts the pieces; and it tells what a place on
// a piece is of.
package assembly
