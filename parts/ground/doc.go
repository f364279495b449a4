// Package ground is the land under a scene, with its terraces.
package ground
