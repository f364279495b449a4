// Package spill is debris in and around damage.
package spill
