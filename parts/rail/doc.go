// Package rail is the rail: posts, a handrail and an infill.
package rail
