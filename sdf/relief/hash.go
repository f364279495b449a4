package relief

// mix is a full-avalanche hash of a seed and three numbers (the finaliser of Steele, Lea,
// Flood, "Fast splittable pseudorandom number generators", 2014).
func mix(seed uint64, x, y, z int64) uint64 {
	h := seed ^ uint64(x)*0x9e3779b97f4a7c15 ^ uint64(y)*0xc2b2ae3d27d4eb4f ^ uint64(z)*0x165667b19e3779f9
	h ^= h >> 30
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 27
	h *= 0x94d049bb133111eb
	return h ^ h>>31
}

// unit is a number from 0 to 1 of the low 20 bits of a hash, signed one from -1 to 1.
func unit(h uint64) float64   { return float64(h&0xfffff) / 0xfffff }
func signed(h uint64) float64 { return 2*unit(h) - 1 }
