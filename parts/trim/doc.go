// Package trim is the straight cut that squares off a scene.
package trim
