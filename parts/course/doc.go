// Package course is what parts have in common that run along a line of the plan, such as a
// track, a hedge or a trench: the line, its straight sides, what is wrong with it, and what
// it covers. A kind embeds Line, and says itself what it stands on.
package course
