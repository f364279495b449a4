// Package setout is what parts have in common that are things, one or several alike, set on
// floors: where each stands, and what follows from that alone: the joined solid, the plan,
// how far it reaches, how it breaks. A kind embeds Places and says, as a Thing, how large
// one of it is and what it looks like.
package setout
