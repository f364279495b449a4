// Package crater is what strikes the ground: the crater and the gouge.
package crater
