package tree

// OnLattice is how far short of its least a thing of flat faces may fall, mm: two
// steps of the lattice that the mesher rounds to, 2^-12 mm, one for either face.
const OnLattice = 2.0 / 4096
