// Package fracture holds how hard work breaks: along flat faces, in chunks. It is
// geometry only; what a part is made of, and what carries it, are the part's to say.
package fracture
