// Package convex holds convex solids cut by planes.
package convex
