package relief

// unit is a number from 0 to 1 of the low 20 bits of a hash, signed one from -1 to 1.
func unit(h uint64) float64   { return float64(h&0xfffff) / 0xfffff }
func signed(h uint64) float64 { return 2*unit(h) - 1 }
