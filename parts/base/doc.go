// Package base holds the base, one printed piece: its footprint, rim, underside, magnet
// pockets and stands, and what a piece is meant to measure (Intent).
package base
