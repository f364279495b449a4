// Package paving is the paving: stones laid in a bond.
package paving
