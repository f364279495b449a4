// Package street is what stands and lies in streets: bollards, lamp posts, fences, kerbs,
// covers of drains, signs, benches, shutters and
// fronts of houses. What several of them have in common, cast
// iron and the grain of wood, is in stuff.go; what runs along lines embeds Course.
package street
