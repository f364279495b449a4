// Package stair is the stair: flights of steps laid out by a profile.
package stair
