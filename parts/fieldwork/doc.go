// Package fieldwork is what is built in haste on open ground: trenches, walls of sandbags,
// duckboards, revetments, stakes, obstacles and barricades.
//
// What runs along a line embeds Line, which gives its legs and all that follows from them
// alone; what stands in places embeds setout.Places.
package fieldwork
