// Package column is the column: a shaft with flutes, a base and a capital, whole or
// broken off. Its sizes as drawn are settled once for its site (sizes.go).
package column
