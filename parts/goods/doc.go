// Package goods is what is stored and carried: crates, barrels, pallets, sacks and cable
// drums.
package goods
