// Package crack is the crack: a split that runs on through whatever lies at a level.
package crack
