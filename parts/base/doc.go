// Package base is the base: its footprint, rim, underside, pockets and stands.
package base
